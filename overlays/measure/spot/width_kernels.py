"""The loops that carry the errors of three planes to a half width. Private, unchecked."""

import math

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise import SURE
from overlays.measure.spot.rounding import Z95
from overlays.measure.spot.student import student95

FloatArray = npt.NDArray[np.float64]


@nb.njit(cache=True, nogil=True)
def half_width(
    noise_sizes: FloatArray, bias_sizes: FloatArray, errors: FloatArray, shared: FloatArray
) -> float:
    """95 % half width of a quantity from the errors of its planes, as `combine` says it.

    Parameters
    ----------
    noise_sizes, bias_sizes:
        (3,) float64 as of `overlays.measure.spot.uncertainty.combine`.
    errors:
        (3, 3) float64, of each plane standard error and bound of rounding in codes, and degrees of
        freedom.
    shared:
        (3, 3) float64 correlation of the noise of the three means.

    Returns
    -------
    float
        In the unit of the quantity: stops, percent or linear light.
    """
    common = np.empty(3)
    own, bounds, squares = 0.0, 0.0, 0.0
    for p in range(3):
        width = SURE * student95(errors[p, 2]) * errors[p, 0]
        common[p] = bias_sizes[p] * width
        # What the derivative varies by over the pixels moves each plane's part for itself.
        own += max(noise_sizes[p] ** 2 - bias_sizes[p] ** 2, 0.0) * width**2
        bound = abs(bias_sizes[p]) * errors[p, 1]
        bounds += bound
        squares += bound**2 / (3.0 if errors[p, 1] > 0.25 else 2.0)
    joint = 0.0
    for p in range(3):
        for q in range(3):
            joint += common[p] * shared[p, q] * common[q]
    rounding = min(bounds, Z95 * math.sqrt(squares))
    return math.sqrt(max(0.0, joint) + own + rounding**2)


@nb.njit(cache=True, nogil=True)
def along_axes(
    sizes: tuple[FloatArray, FloatArray, FloatArray],
    errors: FloatArray,
    more: tuple[FloatArray, FloatArray],
) -> tuple[float, float, float]:
    """95 % half widths of linear R, G and B: what their own gradients pick from the arrays.

    Parameters
    ----------
    sizes:
        (3, 3, 3) mean products of derivatives, (3, 3) mean derivatives and (3, 3) correlation, as
        `overlays.measure.spot.spot_errors.SpotErrors` has them.
    errors:
        As of `half_width`.
    more:
        (3,) linear light each that a channel may be off by besides: either way, and upwards.

    Returns
    -------
    tuple[float, float, float]
        Linear light.
    """
    squares, slopes, shared = sizes
    excess, hidden = more
    noise, widths = np.empty(3), np.empty(3)
    for k in range(3):
        for p in range(3):
            noise[p] = math.sqrt(max(squares[p, k, k], 0.0))
        widths[k] = half_width(noise, slopes[k], errors, shared) + abs(excess[k]) + hidden[k]
    return widths[0], widths[1], widths[2]
