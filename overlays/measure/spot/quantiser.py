"""What a lossy codec does to the mean of a spot, told by what it left of the noise.

Codecs quantise the coefficients of blocks in steps of D codes (of an orthonormal transform).
Coefficients of less than about half a step are dropped, and with them the noise that would have
dithered the rounding; and the mean of B x B pixels is a coefficient itself, in steps of D/B.

**D is seen where noise was left.** A single coefficient that survives in a tile of 64 samples
leaves D^2/64 of variance there. With f of them in a tile, as Poisson spreads them, the variance
within tiles has the mean f D^2/64 and, over the tiles, the variance f (D^2/64)^2: their ratio is
D^2/64. Noise that came through whole has a ratio too, 2/63 of its variance: the step shown is then
1.4 times its deviation, and it may well have been as coarse. Noise that goes together over pixels
makes it larger by the sum of its squared correlations, which for a gaussian is half the sum of its
correlations; that part is no codec's and is taken off.

**Noise that came through whole dithers the means as well**: the coefficient that is the mean of a
block has the power of the noise at frequency 0, and from 0.5 D^2 on nothing of its steps stays in a
mean but their spread, which the noise of the mean holds already.

**Blocks may be larger than the tiles** (32 x 32 in H.265). A coefficient then leaves D^2/B^2 all
over its block: tiles of 8 x 8 show sqrt(D^2/B^2), which moves the mean of the block by as much as
it should, but they do not show how few such blocks a spot holds. Tiles of 16 and 32 do: their step
is D once they are as large as a block, and less before. A rounding of even spread over a step
D/B has the deviation D/B/sqrt(12); over a spot of the edge n the mean of its blocks has that of
D/n/sqrt(12), and where there are few tiles to tell D, Student's t says what they leave open.

**Where nothing was left** codes are flat and rounded, and nothing in them tells D. What is left
beside them may (`step_beside`): tiles around that are as quiet as the coarsest codec leaves a flat
show D/B for each pixel, and not B, which is 32 at most, and 16 where the codec is known to be
H.264. So D is at most B/8 of the step that tiles of 8 show. Detail of the picture that is as faint
is taken for it, and the ± is the wider; it is never taken to be finer than at the parameter 18
(`USUAL_STEP`), since shading leaves less than any codec does. A spot that is flat itself is such a
flat, whatever was left next to it. Where nothing was left beside it, either, D is taken as that: a
coarser one moves the mean of a small spot of 10 bits by more than is said, and one frame cannot
tell.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.scatter_kernels import tile_variances
from overlays.measure.spot.student import student95

CodeArray = npt.NDArray[np.int64]

USUAL_STEP = 5.04
"""Codes of 8 bits that a coefficient is quantised in at the quantiser parameter 18, at which
compression is said not to be seen (common practice, no source): 0.63 * 2**(18 / 6), as H.264 and
H.265 double the step every 6 (Rec. ITU-T H.264 8.5.9, H.265 8.6.3, from memory). It is a share of
full scale: with 10 bits it is four times that."""
_COARSEST = 4.0 * USUAL_STEP
"""The parameter 30, where compression is seen: what looks coarser than that is texture."""
TOLD = 0.4
"""Share of tiles in which something was left from which it tells what happened to the spot. With
less, most of it is flat, and dithered by the less. Measured, as `_ALIKE` is, through fourteen
settings of H.264, HEVC, ProRes and MJPEG (tests/bench/plus_minus.py)."""
DITHERED = 0.5
"""Deviation in steps from which on what is left dithers rounding (0.002 of a code stays)."""
Z95 = 1.959964
"""Half width of 95 % of a normal distribution, in standard deviations."""
_EVEN = 1.0 / math.sqrt(12.0)
"""Standard deviation of an even spread of width 1."""
_TILE = 8
_LARGER_TILES = (16, 32)
_FEWEST_TILES = 4
"""Of the larger tiles, from which their variances tell a spread."""
_LEAST = 0.05
"""Square codes of variance in a tile that say that something was left: 3 stray samples of 64."""
_BLOCKS = (16.0, 32.0)
"""Pixels each way of the largest blocks that codecs predict or transform flats in (H.264, HEVC)."""
WIDE_ENOUGH = 32
"""Pixels each way of the largest block that H.265 transforms: a spot of several smaller ones has
roundings of its own (measured: tests/bench/plus_minus.py, README)."""
_DITHERING = 0.30 * 1.3**2
"""Variance in square steps from which on a normal noise leaves less than 0.005 of a step of what
rounding in these steps does to a mean, for means of blocks as for samples (`rounding`); widened as
the noise of a mean is (`noise.SURE`), since it is told by few blocks."""
_ALIKE = 3.0
"""Blocks of 16 pixels across which noise that was left makes roundings of their own: a spot of so
many has a third of the half step D/16 that one of 8 x 8 pixels has, and a larger one no less."""


@dataclass(frozen=True, slots=True)
class Left:
    """What a codec left in the flat that a spot lies in.

    Attributes
    ----------
    step:
        Codes that its coefficients look quantised in; 0 where nothing was left.
    share:
        Of the tiles of 8 x 8 samples that something was left in, 0 to 1.
    within:
        Mean variance within the tiles, in square codes.
    tiles:
        How many there were; 0 where that is not known.
    larger:
        (edge, step, variance within, number) of larger tiles, where there were enough.
    beside:
        The most that its coefficients may be quantised in as the picture beside the flat looks, in
        codes; 0 where nothing was left there or nobody looked.
    """

    step: float
    share: float
    within: float
    tiles: int = 0
    larger: tuple[tuple[int, float, float, int], ...] = ()
    beside: float = 0.0


def left_by_codec(around: CodeArray, beside: float = 0.0) -> Left:
    """What a codec left in (rows, columns) codes around a spot.

    Parameters
    ----------
    around:
        (rows, columns) int64 codes.
    beside:
        Codes that it may have quantised in as the picture beside looks; 0 where nobody looked.

    Returns
    -------
    Left
        A share without a unit, and variances in square codes.

    Examples
    --------
    >>> left = left_by_codec(np.full((32, 32), 64))
    >>> left.step, left.share, left.tiles  # a flat of one code: nothing was left of any noise
    (0.0, 0.0, 16)
    """
    mean, spread, share = tile_variances(around, _TILE, _LEAST)
    larger = []
    for edge in _LARGER_TILES:
        number = (around.shape[0] // edge) * (around.shape[1] // edge)
        if number >= _FEWEST_TILES:
            within, apart, _ = tile_variances(around, edge, _LEAST)
            larger.append((edge, _step(edge, within, apart), within, number))
    number = max((around.shape[0] // _TILE) * (around.shape[1] // _TILE), 1)
    return Left(_step(_TILE, mean, spread), share, mean, number, tuple(larger), beside)


def step_beside(picture: CodeArray, scale: float, block: int = 0) -> float:
    """The most that a codec may quantise in, by what it left in the quiet tiles of a picture.

    Parameters
    ----------
    picture:
        (rows, columns) int64 codes from around a spot, their edges on multiples of 8 samples.
    scale:
        Codes that make one of 8 bits.
    block:
        Pixels each way of the codec's largest block; 0 where that is not known: 32.

    Returns
    -------
    float
        Codes, 0 where nothing was left; 0 where no tile is quiet.

    Examples
    --------
    >>> step_beside(np.full((64, 64), 500), scale=4.0)
    0.0
    >>> one = np.full((64, 64), 500)
    >>> one[8:16, 8:16:2] += 4  # 2 codes of deviation in one of 64 tiles
    >>> round(step_beside(one, scale=4.0), 1)  # 4 * 8 * 2, but for the sample's own correction
    64.5
    """
    rows, columns = picture.shape[0] // _TILE * _TILE, picture.shape[1] // _TILE * _TILE
    tiles = picture[:rows, :columns].reshape(rows // _TILE, _TILE, columns // _TILE, _TILE)
    within = tiles.astype(np.float64).var(axis=(1, 3), ddof=1)
    quiet = within[within <= (_COARSEST * scale / _BLOCKS[0]) ** 2]
    if quiet.size < _FEWEST_TILES:
        return 0.0
    return (
        (block or _BLOCKS[1]) / _TILE * _step(_TILE, float(quiet.mean()), float(quiet.var(ddof=1)))
    )


def _step(edge: int, mean: float, spread: float) -> float:
    """The step that a mean and a variance of the variances within tiles of so many samples show."""
    return edge * math.sqrt(spread / mean) if mean > 0.0 else 0.0


def dithered_share(left: Left, noise: float) -> float:
    """How much of a spot's deviation may have dithered its rounding, 0 to 1.

    `noise` is its variance in square codes. Of what varies from tile to tile all may, of what
    varies within a few tiles only little.

    Parameters
    ----------
    left:
        What a codec left around the spot.
    noise:
        Variance of a sample, in square codes.

    Returns
    -------
    float
        Share, 0 to 1.

    Examples
    --------
    >>> round(dithered_share(Left(step=5.0, share=0.1, within=0.36), noise=0.4), 3)  # 0.1 of 0.4
    0.25
    >>> dithered_share(Left(step=0.0, share=0.0, within=0.0), noise=0.0)
    0.0
    """
    between = 1.0 - left.within / noise if noise > 0.0 else 0.0
    return min(1.0, max(left.share, between) / TOLD)


def is_told(left: Left, noise: float) -> bool:
    """Whether what a codec left tells what it did to a spot whose samples have a variance.

    Tiles in which something was left tell nothing of a spot that is flat itself; only small spots,
    beside which somebody looked, are as flat as that among such tiles.

    Parameters
    ----------
    left:
        What it left around the spot.
    noise:
        Variance of a sample of the spot, in square codes.

    Returns
    -------
    bool
        No where most of the tiles are flat, or the spot is.

    Examples
    --------
    >>> ripples = Left(step=5.0, share=0.6, within=0.36, beside=9.0)
    >>> is_told(ripples, noise=0.4), is_told(ripples, noise=0.04)
    (True, False)
    """
    return left.share >= TOLD and (noise >= DITHERED**2 or left.beside == 0.0)


def codec_bound(
    left: Left, samples: int, together: float, scale: float, noise: float = math.inf
) -> float:
    """Codes by which quantising may move the mean of so many samples.

    Parameters
    ----------
    left:
        What the codec left.
    samples:
        Of the spot.
    together:
        How many samples noise goes together over, 1 where it is free from sample to sample.
    scale:
        Codes that make one of 8 bits.
    noise:
        Variance of a sample, in square codes, by which the spot may be flat.

    Returns
    -------
    float
        Codes, 0 or more.

    Examples
    --------
    >>> bound = codec_bound(Left(0.0, 0.0, 0.0), samples=256, together=1.0, scale=1.0)
    >>> round(bound, 4)  # half the usual step of 5.04 codes, over blocks of 16 samples
    0.1575
    """
    edge = math.sqrt(samples)
    smallest, largest = _BLOCKS
    if not is_told(left, noise):
        # Blocks in a flat are quantised alike, and by half a step at most.
        block = min(max(0.5 * edge, smallest), largest)
        seen = min(max(left.step, left.beside), _COARSEST * scale)
        return 0.5 * max(USUAL_STEP * scale, seen) / block
    bound = _without_own(left.step, left.within, together) / min(
        max(edge, smallest), _ALIKE * smallest
    )
    bound *= student95(left.tiles - 1.0) / Z95 if left.tiles > 1 else 1.0
    power = noise * together
    bound = 0.0 if _is_dithered(left.step, power) else bound
    for tile, step, within, number in left.larger:
        half = student95(number - 1.0) * _EVEN * _without_own(step, within, together)
        bound = bound if _is_dithered(step, power) else max(bound, half / max(edge, float(tile)))
    return min(bound, _COARSEST * scale / smallest)


def _is_dithered(step: float, power: float) -> bool:
    """Whether noise dithers the steps of means, whose spread the noise of the mean holds already.

    `power` is that of the noise at frequency 0 in square codes: the variance of the coefficients
    that are means.
    """
    return _DITHERING * step**2 <= power < math.inf


def _without_own(step: float, within: float, together: float) -> float:
    """A step less what noise shows of its own that goes together over so many samples."""
    own = 2.0 * within * max(0.0, 0.5 * together - 1.0)
    return math.sqrt(max(0.0, step**2 - own))
