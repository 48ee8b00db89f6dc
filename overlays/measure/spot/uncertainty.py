"""The ± of a mean of codes: noise, and rounding where noise does not dither it away.

Three things that are easy to get wrong, and what is done about each:

1. Texture is not noise: noise is judged from the diagonal second difference a - b - c + d of
   neighbouring samples, whose variance is four times that of a sample.
2. The mean of rounded values of x + noise(sigma codes) is off by at most
   sum_k exp(-2 pi^2 k^2 sigma^2) / (pi k) <= 1/2 (Fourier series of the rounding error).
3. Where only two codes k, k + 1 occur, sigma is unknowable. But x then lies between the
   threshold k + 1/2 and the mean k + p, so that the error of the mean is at most |p - 1/2|.

Coverage is checked on made frames in tests/overlays/measure/test_accuracy.py.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Plane

FloatArray = npt.NDArray[np.float64]

Z95 = NormalDist().inv_cdf(0.975)
"""Half width of 95 % of a normal distribution, in standard deviations."""

NOISE_MARGIN = 1.15
"""Widening of the noise term: its estimate has an error of its own, and planes may share noise."""

_DITHERED_VARIANCE = 0.30
"""Sample variance above which a normal noise dithers rounding to below 0.005 code."""
_STRUCTURED = 1.25
"""Ratio of the variance of all samples to that between neighbours from which a spot is not flat."""
_STRUCTURED_REST = 0.1
"""Codes of rounding left in a textured spot however noisy it is: a camera's noise is not free from
pixel to pixel (measured on the dark steps of a photographed grey wedge: 0.04 to 0.2)."""
FEWEST_ACROSS = 4
"""Samples each way from which noise is judged where a spot itself has fewer: of 2x2 there is one
difference only, of a single sample of chroma none, and one that is 0 by chance says "no noise"."""
_FEWEST_BEYOND = 3
"""Samples that must lie on each side of a threshold for it to say anything of sigma."""


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
    """

    standard: float
    rounding: float
    noise: float
    degrees: float


def rounding_amplitude(sigma: float) -> float:
    """Largest error of the mean of rounded values of x + normal noise, in codes, over all x."""
    if sigma <= 0.0:
        return 0.5
    total = sum(math.exp(-2.0 * (math.pi * k * sigma) ** 2) / (math.pi * k) for k in range(1, 40))
    return min(0.5, total)


def student95(degrees: float) -> float:
    """Half width of 95 % of Student's t.

    Exact for 1 and 2 degrees of freedom; above, the expansion of Cornish and Fisher as in
    Abramowitz & Stegun 26.7.5, within 0.5 % from 3 on.
    """
    if degrees < 1.5:
        return 12.706
    if degrees < 2.5:
        return 4.303
    z = Z95
    terms = (
        (z**3 + z) / 4.0,
        (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0,
        (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0,
        (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0,
    )
    return z + sum(term / degrees**power for power, term in enumerate(terms, start=1))


def _difference_variance(samples: npt.NDArray[np.int64]) -> tuple[float, float]:
    """(variance of a sample, degrees of freedom) from diagonal second differences."""
    a, b = samples[:-1, :-1], samples[:-1, 1:]
    c, d = samples[1:, :-1], samples[1:, 1:]
    if a.size == 0:
        return 0.0, 1.0
    second = (a - b - c + d).astype(np.float64)
    # Overlapping differences share samples: about four make one independent look.
    return float(np.mean(second**2)) / 4.0, max(1.0, a.size / 4.0 * 16.0 / 9.0)


def _shared_threshold_bound(counts: npt.NDArray[np.int64], total: int) -> float:
    """Bound of the rounding error from how the codes of a flat patch are shared out."""
    below = np.cumsum(counts)[:-1]
    usable = (below >= _FEWEST_BEYOND) & (total - below >= _FEWEST_BEYOND)
    shares = below[usable] / total
    if shares.size == 0:
        return 0.5
    if shares.size == 1:
        return min(0.5, abs(0.5 - float(shares[0])) + Z95 * 0.5 / math.sqrt(total))
    normal = NormalDist()
    z = [normal.inv_cdf(float(s)) for s in (shares[0], shares[-1])]
    thresholds = np.flatnonzero(usable)
    sigma = float(thresholds[-1] - thresholds[0]) / (z[1] - z[0])
    spread = math.sqrt(
        sum(
            float(s) * (1.0 - float(s)) / total / normal.pdf(zz) ** 2
            for s, zz in zip((shares[0], shares[-1]), z, strict=True)
        )
    )
    low = sigma / (1.0 + Z95 * spread / (z[1] - z[0]))
    return rounding_amplitude(low)


def _rounding_bound(samples: npt.NDArray[np.int64], variance: float) -> float:
    counts = np.bincount((samples - int(samples.min())).ravel())
    if counts.size == 1:
        return 0.5
    structured = float(samples.var()) > _STRUCTURED * variance + 0.01
    if variance >= _DITHERED_VARIANCE:
        amplitude = rounding_amplitude(math.sqrt(variance - 1.0 / 12.0))
        return max(amplitude, _STRUCTURED_REST) if structured else amplitude
    if structured:
        # Each level of the texture is rounded in its own way; their effective number is the
        # inverse of Simpson's index.
        effective = samples.size**2 / float(np.sum(counts.astype(np.float64) ** 2))
        return 0.5 / math.sqrt(max(1.0, effective / 2.0))
    return _shared_threshold_bound(counts, samples.size)


def plane_error(plane: Plane, shift: int = 0, around: Plane | None = None) -> PlaneError:
    """What is uncertain about the mean of a rectangle of one plane's samples.

    Parameters
    ----------
    plane:
        (rows, columns) uint8 or uint16 stored samples of the spot.
    shift:
        Bits by which a sample is shifted left of its code.
    around:
        A larger rectangle that holds the spot, to judge noise by; None where the spot will do.
    """
    samples = plane.astype(np.int64) >> shift
    looked_at = samples if around is None else around.astype(np.int64) >> shift
    variance, degrees = _difference_variance(looked_at)
    return PlaneError(
        standard=math.sqrt(variance / samples.size),
        rounding=_rounding_bound(samples, variance),
        noise=math.sqrt(variance),
        degrees=degrees,
    )


def combine(noise_sizes: FloatArray, bias_sizes: FloatArray, planes: list[PlaneError]) -> float:
    """95 % half width of a quantity from the errors of its planes.

    Parameters
    ----------
    noise_sizes:
        (3,) root-mean-square derivative over the pixels by each plane's code.
    bias_sizes:
        (3,) mean derivative by each plane's code: a common offset moves the quantity by it.
    planes:
        The three planes' errors.

    Notes
    -----
    Noise adds in squares. The bounded rounding errors add as they are, or in squares (variance of
    an even spread, or of a sine where they are partly dithered), whichever is less: the first is
    exact for one plane, the second for many.
    """
    noise = sum(
        (NOISE_MARGIN * student95(p.degrees) * size * p.standard) ** 2
        for size, p in zip(noise_sizes, planes, strict=True)
    )
    bounds = [abs(size) * p.rounding for size, p in zip(bias_sizes, planes, strict=True)]
    squares = sum(
        bound**2 / (3.0 if p.rounding > 0.25 else 2.0)
        for bound, p in zip(bounds, planes, strict=True)
    )
    rounding = min(sum(bounds), Z95 * math.sqrt(squares))
    return math.sqrt(noise + rounding**2)
