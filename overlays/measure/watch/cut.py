"""Cuts: from one frame to the next it is another picture, or none.

Light that changes leaves the things where they are: within a small block of the picture the new
levels still follow the old ones. A cut leaves nothing of that in most blocks. What goes on for
several frames (a pan, a fade) is no cut: the frames before and after must be alike.
"""

import math
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.quantiles import median, quantile
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.frame import Frame
from overlays.signal.levels import code_to_percent
from overlays.signal.signal import Components

FloatArray = npt.NDArray[np.float64]

_BLOCKS = (6, 8)
"""Rows and columns of blocks."""
_EDGE = 8
"""Samples along the edge of a block."""
ALIKE, UNLIKE = 0.7, 0.3
"""Median correlation of blocks above which two pictures are one, below which they are two. Found on
four photographs and the bench: 0.12 at the most between two of them, 0.98 at least within one
whatever its exposure, curve, light or depth, and with noise of 4 codes."""
_STRUCTURE = 3.0
"""A block has something in it where its spread is so many times that of noise."""
_FEWEST = 6
"""Blocks with something in them, fewer of which do not make a picture."""
_BLACK_PERCENT = 2.0
"""Level above the floor that noise may reach in a picture that is black."""


class CutTo(Enum):
    """What a cut leads to; the value is how it is said."""

    BLACK = "cut to black"
    BACK = "cut back"
    """To the picture before the last cut."""
    OTHER = "cut"


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut.

    Attributes
    ----------
    at_ns:
        The first frame behind it.
    to:
        What it leads to.
    """

    at_ns: int
    to: CutTo


@dataclass(frozen=True, eq=False)
class Glimpse:
    """A picture in little.

    Attributes
    ----------
    levels:
        (blocks, samples) float64, in percent.
    is_black:
        Whether the picture is black.

    Examples
    --------
    >>> apart, spread = Glimpse(np.array([[1.0, 3.0]]), is_black=False).relief
    >>> apart.tolist(), spread.tolist()
    ([[-1.0, 1.0]], [1.0])
    """

    levels: FloatArray
    is_black: bool

    @cached_property
    def relief(self) -> tuple[FloatArray, FloatArray]:
        """(blocks, samples) levels from the mean of their block, and (blocks,) their spread.

        In percent; looked for once, for a picture is compared with several others.
        """
        apart = self.levels - self.levels.mean(axis=1, keepdims=True)
        return apart, apart.std(axis=1)


def glimpse_of(frame: Frame, yard: Yardstick) -> Glimpse | None:
    """A picture in little.

    Parameters
    ----------
    frame:
        Native codes; of R'G'B' the green ones are taken.
    yard:
        Resolved for the frame's signal; gives the floor.

    Returns
    -------
    Glimpse | None
        Levels in percent; None of a picture that is smaller than that.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> glimpse = glimpse_of(grey_frame([[502]], cell=64), VIDEO)
    >>> glimpse.levels.shape, float(glimpse.levels[0, 0]), glimpse.is_black
    ((48, 64), 50.0, False)
    >>> glimpse_of(grey_frame([[502]], cell=32), VIDEO) is None  # smaller than a glimpse
    True
    """
    plane = frame.planes[1 if frame.signal.components is Components.RGB else 0]
    rows, columns = _BLOCKS[0] * _EDGE, _BLOCKS[1] * _EDGE
    if plane.shape[0] < rows or plane.shape[1] < columns:
        return None
    down, across = plane.shape[0] // rows, plane.shape[1] // columns
    grid = plane[down // 2 :: down, across // 2 :: across][:rows, :columns] >> frame.shift
    levels = code_to_percent(grid.astype(np.float64), frame.signal)
    blocks = levels.reshape(_BLOCKS[0], _EDGE, _BLOCKS[1], _EDGE).transpose(0, 2, 1, 3)
    dark = quantile(np.sort(levels, axis=None), 0.98) <= yard.floor_percent + _BLACK_PERCENT
    return Glimpse(blocks.reshape(-1, _EDGE * _EDGE), dark)


def likeness(one: Glimpse, other: Glimpse, noise: float) -> float | None:
    """Median correlation of the blocks of two pictures; None where they show nothing.

    Parameters
    ----------
    one, other:
        Of one size.
    noise:
        Spread of the levels of a pixel from frame to frame, in percent.

    Returns
    -------
    float | None
        Without a unit, -1 to 1.

    Examples
    --------
    >>> one, other = np.random.default_rng(1).uniform(0.0, 100.0, (2, 48, 64))
    >>> round(likeness(Glimpse(one, False), Glimpse(0.5 * one, False), 0.1), 3)  # half as bright
    1.0
    >>> abs(likeness(Glimpse(one, False), Glimpse(other, False), noise=0.1)) < 0.3  # unlike
    True
    """
    (a, spread_a), (b, spread_b) = one.relief, other.relief
    least = max(_STRUCTURE * noise, 1e-6)
    shown = np.maximum(spread_a, spread_b) > least
    if np.count_nonzero(shown) < _FEWEST:
        return None
    both = np.maximum(spread_a[shown] * spread_b[shown], least * 1e-6)
    products: FloatArray = (a[shown] * b[shown]).mean(axis=1) / both
    return float(median(products))


class CutFinder:
    """Looks for cuts in frame after frame; each is found with the frame behind it.

    Examples
    --------
    >>> one, other = np.random.default_rng(1).uniform(0.0, 100.0, (2, 48, 64))
    >>> finder = CutFinder()
    >>> found = [finder.add(n, Glimpse(one if n < 5 else other, False)) for n in range(10)]
    >>> [(cut.at_ns, cut.to.value) for cut in found if cut is not None]
    [(5, 'cut')]
    """

    def __init__(self) -> None:
        self._last: list[tuple[int, Glimpse, float]] = []
        """Of the newest frames the time, and how noisy each is against the one before it."""
        self._before: Glimpse | None = None

    def add(self, time_ns: int, glimpse: Glimpse | None) -> Cut | None:
        """Take the next frame; what is found is a cut to the frame before it.

        Parameters
        ----------
        time_ns:
            Of the frame; times only go forward.
        glimpse:
            Of the frame; None forgets what was seen.

        Returns
        -------
        Cut | None
            None where the picture goes on.
        """
        if glimpse is None or (self._last and _differ(self._last[-1][1], glimpse)):
            self._last.clear()
        if glimpse is None:
            return None
        noise = _noise(self._last[-1][1], glimpse) if self._last else 0.0
        self._last = [*self._last[-3:], (time_ns, glimpse, noise)]
        return self._cut() if len(self._last) == 4 else None

    def _cut(self) -> Cut | None:
        (_, first, _), (_, before, noise_before), (at_ns, after, _), (_, newest, noise) = self._last
        noise = max(noise_before, noise)
        # The picture mostly goes on: that is asked first.
        if not _is_other(before, after, noise):
            return None
        if not (_is_same(first, before, noise) and _is_same(after, newest, noise)):
            return None
        back = self._before is not None and _is_same(self._before, after, noise)
        to = CutTo.BLACK if after.is_black else CutTo.BACK if back else CutTo.OTHER
        if not before.is_black:
            self._before = before
        return Cut(at_ns, to)


def _differ(one: Glimpse, other: Glimpse) -> bool:
    return one.levels.shape != other.levels.shape


def _noise(one: Glimpse, other: Glimpse) -> float:
    """Spread of a pixel's level from one frame to the next, in percent; robust to what moves."""
    steps = np.abs(other.levels - one.levels)
    return 1.4826 * float(median(steps.ravel())) / math.sqrt(2.0)


def _is_same(one: Glimpse, other: Glimpse, noise: float) -> bool:
    if one.is_black or other.is_black:
        return one.is_black and other.is_black
    alike = likeness(one, other, noise)
    return alike is not None and alike > ALIKE


def _is_other(one: Glimpse, other: Glimpse, noise: float) -> bool:
    if one.is_black or other.is_black:
        return one.is_black != other.is_black
    alike = likeness(one, other, noise)
    return alike is not None and alike <= UNLIKE
