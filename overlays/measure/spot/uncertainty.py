"""The ± of a mean of codes: noise, and rounding where noise does not dither it away.

What it must cover, for 95 spots of 100: the mean light of the scene under the spot, given codes
that were rounded and carry the camera's noise. It is carried to stops and to every other quantity
through the derivatives of the curve and the matrix at the mean (`spot_errors`).

**Noise.** Cameras interpolate, denoise and compress: noise is correlated over pixels, and the
variance of a mean over n x n of them is the sum of the autocovariance C,

    Var = 1/n^2 * sum over (i, j) of (1 - |i|/n)(1 - |j|/n) C(i, j),      not C(0, 0) / n^2.

It is the power of the noise below the frequency 1/n, of which differences of neighbours show next
to nothing. So means m(i, j) of blocks of b = 2, 4, 8 ... pixels are taken, and of each size

    V(b) = sum of (m(i, j) - m(i, .) - m(., j) + m)^2 / ((rows - 1)(columns - 1)),

the interaction of a two-way table (Fisher; any text on the analysis of variance), which nothing of
the form f(row) + g(column) touches: a gradient, a vignette to second order, an upright edge are no
noise. P(b) = b^2 V(b) is constant for white noise and grows to the power at frequency 0 for
correlated noise. P of the largest b with at least nine degrees of freedom is carried on to n: the
growth from the size before it, to the power d + d^2 + ... for the doublings left, d = 0.6 (the part
of a block near its edge goes as 1/b, so that growth halves in the end). Where it hardly grows any
more, the blocks half as large, of which there are four times as many, count as well. Blocks that
still go together are worth fewer degrees of freedom, by the growth that was carried on; Student's t
widens what few degrees leave open, and 1.3 what no block shows. Where the picture around the spot
looks like the spot (four deviations of its 2 x 2 means), it is looked at too, up to 96 pixels. The
three planes are looked at together: covariances say how far they share their noise. A texture finer
than the spot that is no f(row) + g(column) cannot be told from noise in one frame, and the ± is the
wider; frames tell (`overlays.measure.spot.steady`): what is new in each is noise.

**Rounding.** Of x + noise(sigma) in steps of one code the mean is off by at most
sum over k of exp(-2 pi^2 k^2 sigma^2) / (pi k) <= 1/2 (Fourier series of the rounding error;
Widrow & Kollar, Quantization Noise, 2008). It is 0.5 at sigma = 0, 0.15 at 0.2, 0.002 at 0.5. Below
about 0.5 sigma cannot be had from the variance of the codes, but from how they are shared out: by
the normal quantiles of two shares, less their sampling error. Where only two codes k, k + 1 occur,
sigma is unknowable, but x lies between the threshold k + 1/2 and the mean k + p, so that the error
is at most |p - 1/2|. Steps are those in use: 4 codes for 8-bit content in 10
(`overlays.measure.spot.code_step`).

**Codecs** quantise in blocks: they remove the noise that would have dithered them, and their own
steps move a mean. How coarse they are is told by what they left of the noise
(`overlays.measure.spot.quantiser`).

Noise added after the curve makes the mean of light read high by half the curvature times the
variance; noise of the sensor does not. Which it was is not known, and it goes into the ±.

Coverage is checked on made frames in tests/overlays/measure/test_accuracy.py and printed as a table
by tests/bench/plus_minus.py.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise import mean_noise
from overlays.measure.spot.quantiser import DITHERED, TOLD, left_by_codec
from overlays.measure.spot.rounding import (
    lies_apart,
    rounded_again,
    rounding_amplitude,
    rounding_bound,
)
from overlays.measure.spot.scatter_kernels import common_step, scatter
from overlays.measure.spot.student import student95
from overlays.measure.spot.width_kernels import half_width
from overlays.signal.frame import Plane

__all__ = ["PlaneError", "combine", "plane_error", "rounding_amplitude", "student95"]

FloatArray = npt.NDArray[np.float64]

FEWEST_ACROSS = 4
"""Samples each way from which noise is judged where a spot itself has fewer: of 2x2 there is one
difference only, of a single sample of chroma none, and one that is 0 by chance says "no noise"."""


FINE = 4.0
"""Codes to one of 8 bits from which on their own rounding hides nothing that codecs do: 10 bits."""
_LARGEST_STEP = 16
"""Codes: 12 bits in 16, the coarsest content that feeds are known to carry."""
_NEIGHBOURS = 4
"""Steps within which the codes of a spot are neighbours that noise joins."""


@dataclass(frozen=True, slots=True)
class PlaneError:
    """What is uncertain about the mean of one plane's samples, in codes.

    Attributes
    ----------
    standard:
        Standard error of the mean from noise (with the rounding that noise dithers).
    rounding:
        Bound of the rounding error that stays in the mean.
    noise:
        Standard deviation of a sample, rounding included.
    degrees:
        Degrees of freedom behind `noise`.
    is_codec_guessed:
        Whether a codec left too little of the noise, here and beside, to tell how coarse it was, in
        codes fine enough for that to matter: it is then taken as usual.
    """

    standard: float
    rounding: float
    noise: float
    degrees: float
    is_codec_guessed: bool = False


def table_of(planes: list[PlaneError]) -> FloatArray:
    """Errors of the planes as loops take them.

    Parameters
    ----------
    planes:
        Of three means.

    Returns
    -------
    ndarray
        (3, 3) float64: standard error and bound of rounding in codes, degrees of freedom.

    Examples
    --------
    >>> table_of([PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)]).tolist()
    [[0.0, 0.5, 9.0]]
    """
    return np.array([(p.standard, p.rounding, p.degrees) for p in planes])


def plane_error(
    plane: Plane, shift: int = 0, around: Plane | None = None, step: int = 1
) -> PlaneError:
    """What is uncertain about the mean of a rectangle of one plane's samples.

    Parameters
    ----------
    plane:
        (rows, columns) uint8 or uint16 stored samples of the spot.
    shift:
        Bits by which a sample is shifted left of its code.
    around:
        A larger rectangle that holds the spot, to judge noise by; None where the spot will do.
    step:
        Codes from one that is in use to the next, a power of two: 1 but for feeds of fewer bits
        than their codes have (`overlays.measure.spot.code_step`).

    Returns
    -------
    PlaneError
        In codes.

    Examples
    --------
    >>> plane_error(np.full((8, 8), 70, np.uint8)).rounding  # one code: half of it either way
    0.5
    """
    samples = plane.astype(np.int64) >> shift
    looked_at = samples if around is None else around.astype(np.int64) >> shift
    if min(looked_at.shape) < 2:
        return PlaneError(0.0, 0.5 * step, 0.0, 1.0)
    covariance, degrees = mean_noise(looked_at[None].astype(np.float64), 1, samples.size)
    variance = float(covariance[0, 0])
    return sampled_error(samples, looked_at, (math.sqrt(variance), float(degrees[0])), Held(step))


@dataclass(frozen=True, slots=True)
class Held:
    """How samples came.

    Attributes
    ----------
    step:
        Codes from one in use to the next.
    lossy:
        Through a codec that discards detail.
    scale:
        Codes that make one of 8 bits.
    link_step:
        Codes that make one of the link they were stretched from; 0 where they were not.
    beside:
        What the codec may have quantised in as the picture beside looks; 0 where nobody looked.
    """

    step: int = 1
    lossy: bool = False
    scale: float = 1.0
    link_step: float = 0.0
    beside: float = 0.0


def sampled_error(
    samples: npt.NDArray[np.int64],
    around: npt.NDArray[np.int64],
    seen: tuple[float, float],
    held: Held,
) -> PlaneError:
    """The error of a mean whose noise has been `seen`.

    Parameters
    ----------
    samples, around:
        (rows, columns) int64 codes of the spot, and of the flat it lies in.
    seen, held:
        Standard error in codes with degrees of freedom; how the samples came.

    Returns
    -------
    PlaneError
        In codes.

    Examples
    --------
    >>> codes = np.full((8, 8), 420)
    >>> error = sampled_error(codes, codes, (0.0, 9.0), Held())
    >>> error.standard, error.rounding
    (0.0, 0.5)
    """
    standard, degrees = seen
    step = held.step if held.step > 1 else _own_step(samples)
    down = step.bit_length() - 1
    inside, outside = (samples >> down, around >> down) if down else (samples, around)
    small = min(inside.shape) < FEWEST_ACROSS
    looked_at = outside if small else inside
    shape = scatter(looked_at)
    spread = step * max(math.sqrt(shape[1]), 0.3)
    independent = float(inside.size)
    if standard > 0.0:
        independent = max(4.0, min(independent, (spread / standard) ** 2))
    left = left_by_codec(outside, held.beside / step) if held.lossy else None
    bound, sigma = rounding_bound(looked_at, independent, left, held.scale / step, shape)
    noise = sigma * step
    # Correlated as it may be, a mean is never less sure than one of its samples.
    if inside.size == 1 or 0.0 < noise < standard:
        standard = noise
    bound *= step
    if held.link_step > 0.0:  # rounded twice, first in steps of the link's codes
        bound = bound * held.link_step + rounded_again(samples)
    told = left is None or (left.share >= TOLD and sigma >= DITHERED)
    guessed = not told and held.beside == 0.0 and held.scale >= FINE * step
    return PlaneError(standard, bound, noise, degrees, guessed)


def _own_step(samples: npt.NDArray[np.int64]) -> int:
    """The step of codes that a spot itself shows: neighbours in use with empty ones between them.

    A spot of two flat halves has them too, but those lie apart, in different quarters of it.
    """
    step, reach = common_step(samples)
    if step <= 1 or step > _LARGEST_STEP or reach > _NEIGHBOURS * step:
        return 1
    return 1 if lies_apart(samples) else step


def combine(
    noise_sizes: FloatArray,
    bias_sizes: FloatArray,
    planes: list[PlaneError],
    correlation: FloatArray | None = None,
) -> float:
    """95 % half width of a quantity from the errors of its planes.

    Parameters
    ----------
    noise_sizes:
        (3,) root-mean-square derivative over the pixels by each plane's code.
    bias_sizes:
        (3,) mean derivative by each plane's code: a common offset moves the quantity by it.
    planes:
        The three planes' errors.
    correlation:
        (3, 3) of the noise of the three means; None where they are independent.

    Returns
    -------
    float
        In the unit of the quantity: stops, percent or linear light.

    Notes
    -----
    Noise adds in squares, with what planes share: one noise of R', G' or B' moves all three. The
    bounded rounding errors add as they are, or in squares (variance of an even spread, or of a sine
    where they are partly dithered), whichever is less: the first is exact for one plane, the second
    for many.

    Examples
    --------
    >>> still = PlaneError(standard=0.0, rounding=0.5, noise=0.0, degrees=9.0)
    >>> luma = np.array([0.1, 0.0, 0.0])  # a tenth of a percent for each code
    >>> combine(luma, luma, [still] * 3)
    0.05
    """
    shared = np.eye(3) if correlation is None else correlation
    return float(half_width(noise_sizes, bias_sizes, table_of(planes), shared))
