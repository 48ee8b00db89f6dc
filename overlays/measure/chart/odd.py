"""Patches that are not what the chart has there, though all others are."""

import numpy as np
import numpy.typing as npt

from overlays.measure.chart.reference import ChartReference
from overlays.measure.colour.cielab import ciede2000, xyz_to_lab
from overlays.signal.gamuts import D65, FloatArray

ODD_DE00 = 10.0
"""CIEDE2000 from which a patch can be odd: neighbouring hues of a chart are 15 to 40 apart, and
what a matrix cannot make right of a real camera is 1 to 5 (measured on the spectral sensitivities
of tests/cameras.py)."""
ODD_TIMES = 4.0
"""And by how much it must be further off than the middle patch: under a wrong curve all are."""
_FEWEST = 15
"""Patches below which a matrix of nine numbers would follow the odd ones."""
_ROUNDS = 20
_DARK = 0.05
"""Light below which a patch's error counts as much as there."""


def odd_patches(
    scaled: FloatArray,
    kept: npt.NDArray[np.bool_],
    expected: FloatArray,
    reference: ChartReference,
    to_d65: FloatArray,
) -> tuple[int, ...]:
    """Indices of the patches that are not what the chart has there, the furthest first.

    Parameters
    ----------
    scaled:
        (patches, 3) linear R, G, B as measured, scaled to the reference.
    kept:
        (patches,) those that are not clipped.
    expected:
        (patches, 3) linear R, G, B of the reference.
    reference:
        The chart.
    to_d65:
        (3, 3) linear R, G, B to XYZ under D65.

    Returns
    -------
    tuple[int, ...]
        Index of each in reading order, from 0; empty for a chart of few patches, of which that
        cannot be told.

    Notes
    -----
    A camera's colours differ from the chart's about as by a matrix. The matrix is fitted by least
    absolute residuals, which a few odd patches do not move, and what it leaves is judged.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24, gamut_to_d65
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut = published_gamut("BT.2020")
    >>> seen = CHART24.linear(gamut).copy()
    >>> seen[14] = seen[13]  # green where red should be
    >>> every = np.ones(24, np.bool_)
    >>> odd_patches(seen, every, CHART24.linear(gamut), CHART24, gamut_to_d65(gamut))
    (14,)
    """
    at, left = left_by_matrix(scaled, kept, expected, reference, to_d65)
    if at.size < _FEWEST:
        return ()
    odd = left > max(ODD_DE00, ODD_TIMES * float(np.median(left)))
    ordered = sorted(np.flatnonzero(odd), key=lambda n: -float(left[n]))
    return tuple(int(at[n]) for n in ordered)


def left_by_matrix(
    measured: FloatArray,
    kept: npt.NDArray[np.bool_],
    expected: FloatArray,
    reference: ChartReference,
    to_d65: FloatArray,
) -> tuple[npt.NDArray[np.intp], FloatArray]:
    """What a matrix leaves of the chart's colours: indices of patches, and their CIEDE2000.

    Parameters
    ----------
    measured:
        (patches, 3) linear R, G, B, to any scale.
    kept, expected, reference, to_d65:
        As for `odd_patches`.

    Returns
    -------
    tuple[ndarray, ndarray]
        Of the patches that are kept and have light in every channel.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24, gamut_to_d65
    >>> from overlays.signal.gamuts import published_gamut
    >>> gamut, every = published_gamut("BT.2020"), np.ones(24, np.bool_)
    >>> linear, to_d65 = CHART24.linear(gamut), gamut_to_d65(gamut)
    >>> at, left = left_by_matrix(0.5 * linear, every, linear, CHART24, to_d65)
    >>> len(at), bool(left.max() < 0.01)  # half the light is a matter of a matrix
    (24, True)
    """
    at = np.flatnonzero(kept & (measured.min(axis=1) > 0.0))
    if at.size == 0:
        return at, np.zeros(0)
    lab = xyz_to_lab(measured[at] @ _matrix(measured[at], expected[at]) @ to_d65.T, D65)
    return at, ciede2000(lab, reference.lab[at])


def _matrix(x: FloatArray, y: FloatArray) -> FloatArray:
    """(3, 3) that takes rows of x to rows of y, by the least sum of relative distances."""
    size = np.maximum(y.max(axis=1), _DARK)
    weights = 1.0 / size
    matrix: FloatArray = np.eye(3)
    for _ in range(_ROUNDS):
        matrix = np.linalg.lstsq(x * weights[:, None], y * weights[:, None], rcond=None)[0]
        left = np.linalg.norm(x @ matrix - y, axis=1) / size
        weights = 1.0 / (size * np.sqrt(np.maximum(left, 1e-3)))
    return np.asarray(matrix, dtype=np.float64)
