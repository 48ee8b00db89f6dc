"""What rounding leaves in a mean of codes, once the noise has dithered away what it can."""

import math
from statistics import NormalDist

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.spot.quantiser import Left, codec_bound, dithered_share
from overlays.measure.spot.scatter_kernels import counted, scatter

CodeArray = npt.NDArray[np.int64]

_NORMAL = NormalDist()
Z95 = _NORMAL.inv_cdf(0.975)
"""Half width of 95 % of a normal distribution, in standard deviations."""

_DITHERED_VARIANCE = 0.30
"""Sample variance above which a normal noise dithers rounding to below 0.005 code."""
_FEWEST_BEYOND = 3
"""Samples that must lie on each side of a threshold for it to say anything of sigma."""
_MOSTLY = 0.6
"""Share of a spot's variance that lies between its quarters from which it is not flat: noise that
is correlated over a gaussian of 2 pixels leaves 0.4 of it there in a spot of 16."""
_CROSSED = 0.3
"""Share of a spot's variance that is left beside its row and column means, up to which it is bands:
noise that is correlated over a gaussian of 2 pixels leaves more than half in a spot of 16."""
_SURE = 1.3
"""Widening of what is estimated from few samples: see `overlays.measure.spot.noise.SURE`."""

_FEW_CODES = 4
"""Codes up to which empty ones between them say that a spot holds levels side by side."""
_DITHERS = 0.4
"""Share of the standard deviation that a codec left which is taken to have dithered: measured."""
_RARE = 0.02
"""Share of samples on a code that is no more than stray where a codec has been."""


@nb.njit(cache=True, nogil=True)
def rounding_amplitude(sigma: float) -> float:
    """Largest error of the mean of rounded values of x + normal noise, in codes, over all x.

    Parameters
    ----------
    sigma:
        Standard deviation of the noise, in codes.

    Returns
    -------
    float
        Codes, 0 to 0.5.

    Examples
    --------
    >>> f"{rounding_amplitude(0.0):.2f} {rounding_amplitude(0.5):.3f}"
    '0.50 0.002'
    """
    if sigma <= 0.0:
        return 0.5
    total = 0.0
    for k in range(1, 40):
        part = math.exp(-2.0 * (math.pi * k * sigma) ** 2) / (math.pi * k)
        total += part
        if total >= 0.5 or part < 1e-12:
            break
    return min(0.5, total)


def rounding_bound(
    samples: CodeArray,
    independent: float,
    left: Left | None = None,
    scale: float = 1.0,
    shape: tuple[float, float, float, float] | None = None,
) -> tuple[float, float]:
    """What rounding may have left in the mean of a spot's codes, and what a sample scatters by.

    Parameters
    ----------
    samples:
        (rows, columns) codes of the spot, in steps of the codes in use.
    independent:
        How many independent samples the spot is worth, from the correlation of its noise.
    left:
        What a codec that discards detail left of the noise; None where there was none in the way.
    scale:
        Codes that make one of 8 bits.
    shape:
        What `scatter` says of the samples, where it is known already.

    Returns
    -------
    tuple[float, float]
        Bound of the error and standard deviation of a sample, in those steps.

    Examples
    --------
    >>> rounding_bound(np.full((8, 8), 420), independent=64.0)  # one code: half of it either way
    (0.5, 0.0)
    """
    crossed, variance, quarters, within = scatter(samples) if shape is None else shape
    # The spread of a textured spot is no noise, unless it is of single codes.
    noise = crossed if crossed < 1.0 or crossed <= 4.0 * within else within
    counts = counted(samples)
    if left is not None:
        bound = _lossy_bound(counts, noise, left)
        together = samples.size / independent
        bound = math.hypot(bound, codec_bound(left, samples.size, together, scale, noise))
    elif counts.size == 1:
        bound = 0.5
    elif _is_sparse(counts):
        bound = _textured_bound(counts)
    elif noise >= _DITHERED_VARIANCE:
        bound = rounding_amplitude(math.sqrt(noise - 1.0 / 12.0))
    elif quarters > _MOSTLY * variance or crossed < _CROSSED * variance:
        bound = _textured_bound(counts)
    else:
        bound = _flat_bound(counts, independent)
    return bound, math.sqrt(noise)


def _lossy_bound(counts: CodeArray, noise: float, left: Left) -> float:
    """A codec that removes noise rounds what it keeps: part of what it left may have dithered."""
    if int(np.count_nonzero(counts >= _RARE * counts.sum())) < 2:
        return 0.5
    return rounding_amplitude(_DITHERS * math.sqrt(noise) * dithered_share(left, noise))


def lies_apart(samples: CodeArray) -> bool:
    """Whether most of a spot's variance lies between its quarters: levels, and no noise.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.

    Returns
    -------
    bool
        No, of a single row or column.

    Examples
    --------
    >>> lies_apart(np.repeat([[420] * 4 + [700] * 4], 8, axis=0)), lies_apart(np.full((8, 8), 420))
    (True, False)
    """
    _, variance, quarters, _ = scatter(samples)
    return bool(quarters > _MOSTLY * variance)


@nb.njit(cache=True, nogil=True)
def _is_sparse(counts: CodeArray) -> bool:
    """Whether a few codes are used with empty ones between them: levels side by side, no noise.

    The first and the last are used.
    """
    used = 0
    for count in counts:
        used += count > 0
    return used <= _FEW_CODES and used < counts.size


def _textured_bound(counts: CodeArray) -> float:
    """Each level of a texture is rounded in its own way; they average out by their number.

    Their effective number is the inverse of Simpson's index.
    """
    total = float(counts.sum())
    effective = total**2 / float(np.sum(counts.astype(np.float64) ** 2))
    return 0.5 / math.sqrt(max(1.0, effective / 2.0))


def rounded_again(samples: CodeArray) -> float:
    """Bound of what a second rounding leaves in the mean of samples that were rounded before.

    Nothing dithers it: each code that there was went to one code, off by a half at the most. They
    average out by their number, as the levels of a texture do.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.

    Returns
    -------
    float
        Codes, 0 to 0.5.

    Examples
    --------
    >>> rounded_again(np.full((4, 4), 420))
    0.5
    >>> round(rounded_again(np.arange(64).reshape(8, 8)), 3)  # 64 levels: less by sqrt(64 / 2)
    0.088
    """
    return _textured_bound(counted(samples))


def _between(share: float, independent: float) -> float:
    """Two codes: the level lies between their threshold and their mean."""
    spread = math.sqrt(max(share * (1.0 - share), _RARE) / independent)
    return min(0.5, abs(0.5 - share) + Z95 * spread)


@nb.njit(cache=True, nogil=True)
def _usable(counts: CodeArray) -> tuple[int, int, float, float]:
    """Lowest and highest threshold with enough samples on both sides, and the shares below them.

    A threshold has the number of the code beneath it; the first is -1 where there is none.
    """
    total, below = 0, 0
    for count in counts:
        total += count
    lowest, highest, least, most = -1, -1, 0.0, 0.0
    for code in range(counts.size - 1):
        below += counts[code]
        if below >= _FEWEST_BEYOND and total - below >= _FEWEST_BEYOND:
            highest, most = code, below / total
            if lowest < 0:
                lowest, least = highest, most
    return lowest, highest, least, most


def _flat_bound(counts: CodeArray, independent: float) -> float:
    """Bound of the rounding error from how the codes of a flat patch are shared out."""
    lowest, highest, *shares = _usable(counts)
    if lowest < 0:
        return 0.5
    if lowest == highest:
        return _between(shares[0], independent)
    z = [_NORMAL.inv_cdf(share) for share in shares]
    gap = z[1] - z[0]
    if gap == 0.0:  # the codes between are empty: levels side by side, no noise
        return _textured_bound(counts)
    sigma = float(highest - lowest) / gap
    spread = math.sqrt(
        sum(
            share * (1.0 - share) / independent / _NORMAL.pdf(place) ** 2
            for share, place in zip(shares, z, strict=True)
        )
    )
    return rounding_amplitude(sigma / (1.0 + _SURE * Z95 * spread / gap))
