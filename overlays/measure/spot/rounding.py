"""What rounding leaves in a mean of codes, once the noise has dithered away what it can."""

import math
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise_kernels import scatter

CodeArray = npt.NDArray[np.int64]

Z95 = NormalDist().inv_cdf(0.975)
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

CODEC_LEAST = 0.07
"""Codes that a lossy codec may move a mean by however noisy the picture is, and ..."""
CODEC_SHARE = 0.03
"""... as a share of the noise it has left. Both were measured through five encoders at usual rates
(tests/bench/plus_minus.py): the 95 % points of what no noise explains in a spot of 120 pixels."""
_FEW_BLOCKS = 16
"""Edge in pixels up to which a spot holds only a few blocks of a codec's transform."""
_HEMMED = 1.4
"""Widening there where the picture changes next to the spot: blocks reach over the edge, and what
they lose of it lies in the spot. Measured likewise; what the codec allows itself is not known."""
_LEFT = 0.05
"""Square codes of variance in the middle one of the tiles from which noise was left everywhere."""
_FEW_CODES = 4
"""Codes up to which empty ones between them say that a spot holds levels side by side."""
_DITHERS, _DITHERS_LESS = 0.5, 0.4
"""Share of the standard deviation that a codec left which is taken to have dithered: measured."""
_RARE = 0.02
"""Share of samples on a code that is no more than stray where a codec has been."""


def rounding_amplitude(sigma: float) -> float:
    """Largest error of the mean of rounded values of x + normal noise, in codes, over all x."""
    if sigma <= 0.0:
        return 0.5
    total = sum(math.exp(-2.0 * (math.pi * k * sigma) ** 2) / (math.pi * k) for k in range(1, 40))
    return min(0.5, total)


def rounding_bound(
    samples: CodeArray, independent: float, lossy: bool, hemmed: bool
) -> tuple[float, float]:
    """(bound of the rounding error left in the mean, standard deviation of a sample), in codes.

    Parameters
    ----------
    samples:
        (rows, columns) codes of the spot, in steps of the codes in use.
    independent:
        How many independent samples the spot is worth, from the correlation of its noise.
    lossy:
        Whether a codec that discards detail was in the way: it may round means by as much as a
        code where the noise it leaves would have dithered them.
    hemmed:
        Whether the picture changes right beside the spot.
    """
    crossed, variance, quarters, within = scatter(samples)
    # The spread of a textured spot is no noise, unless it is of single codes.
    noise = crossed if crossed < 1.0 or crossed <= 4.0 * within else within
    codes = samples.ravel() - int(samples.min())
    counts = np.bincount(codes)
    if lossy:
        bound = _lossy_bound(counts, noise, within)
        narrow = min(samples.shape) <= _FEW_BLOCKS
        bound = bound * _HEMMED if hemmed and narrow and within < _LEFT else bound
        bound = max(bound, CODEC_LEAST, CODEC_SHARE * math.sqrt(noise))
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


def _lossy_bound(counts: CodeArray, noise: float, within: float) -> float:
    """A codec that removes noise rounds what it keeps, block by block, and hides that it was there.

    Half the deviation that it left is taken to dither; less, where most tiles of 8 x 8 have none.
    """
    if int(np.count_nonzero(counts >= _RARE * counts.sum())) < 2:
        return 0.5
    return rounding_amplitude((_DITHERS if within >= _LEFT else _DITHERS_LESS) * math.sqrt(noise))


def lies_apart(samples: CodeArray) -> bool:
    """Whether most of a spot's variance lies between its quarters: levels, and no noise."""
    _, variance, quarters, _ = scatter(samples)
    return bool(quarters > _MOSTLY * variance)


def _is_sparse(counts: CodeArray) -> bool:
    """Whether a few codes are used with empty ones between them: levels side by side, no noise."""
    used = np.flatnonzero(counts)
    return used.size <= _FEW_CODES and bool(np.any(np.diff(used) > 1))


def _textured_bound(counts: CodeArray) -> float:
    """Each level of a texture is rounded in its own way; they average out by their number.

    Their effective number is the inverse of Simpson's index.
    """
    total = float(counts.sum())
    effective = total**2 / float(np.sum(counts.astype(np.float64) ** 2))
    return 0.5 / math.sqrt(max(1.0, effective / 2.0))


def _between(share: float, independent: float) -> float:
    """Two codes: the level lies between their threshold and their mean."""
    spread = math.sqrt(max(share * (1.0 - share), _RARE) / independent)
    return min(0.5, abs(0.5 - share) + Z95 * spread)


def _usable(counts: CodeArray) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.float64]]:
    """Thresholds with enough samples on both sides, and the shares below them."""
    total = int(counts.sum())
    below = np.cumsum(counts)[:-1]
    usable = (below >= _FEWEST_BEYOND) & (total - below >= _FEWEST_BEYOND)
    return usable, below[usable] / total


def _flat_bound(counts: CodeArray, independent: float) -> float:
    """Bound of the rounding error from how the codes of a flat patch are shared out."""
    usable, shares = _usable(counts)
    if shares.size == 0:
        return 0.5
    if shares.size == 1:
        return _between(float(shares[0]), independent)
    normal = NormalDist()
    z = [normal.inv_cdf(float(s)) for s in (shares[0], shares[-1])]
    thresholds = np.flatnonzero(usable)
    gap = z[1] - z[0]
    sigma = float(thresholds[-1] - thresholds[0]) / gap
    spread = math.sqrt(
        sum(
            float(s) * (1.0 - float(s)) / independent / normal.pdf(zz) ** 2
            for s, zz in zip((shares[0], shares[-1]), z, strict=True)
        )
    )
    return rounding_amplitude(sigma / (1.0 + _SURE * Z95 * spread / gap))
