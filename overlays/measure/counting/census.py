"""The census: every pixel of a frame counted once, by column and level and by chroma.

Extremes, shares, clipping, trace and chroma trace are all read off these counts.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from enum import Flag, auto

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Counts
from overlays.measure.counting.shares import (
    Lie,
    chroma_tasks,
    clipping_tasks,
    level_tasks,
    rgb_tasks,
)
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import ALONE, Crew, Task
from overlays.signal.frame import Frame
from overlays.signal.levels import Scale, luma_scale
from overlays.signal.signal import Components, Signal

MOST_COLUMNS = 1280
"""More columns than any trace is drawn with; wider pictures share a column between neighbours."""

MOST_COUNTED = 65535
"""The most that a count of 16 bits holds: a column of a census with more pixels needs 32."""

DEEPEST_BITS = 10
"""Levels are counted to ten bits: a trace of 65 536 levels could neither be held nor seen."""


class Wants(Flag):
    """Which counts a census is to hold; what is not wanted costs nothing."""

    LEVELS = auto()
    CHROMA = auto()
    RGB = auto()
    CLIPPING = auto()


@dataclass(slots=True)
class Census:
    """Counts of one frame; its arrays are used again from frame to frame.

    Attributes
    ----------
    bits:
        Depth of the levels, 8 to 10.
    group:
        Picture columns that share one column of the census.
    pixels:
        Pixels counted.
    levels:
        (census columns, 2**bits) luma samples by column and level; uint16, or uint32 where one
        column of the census holds more than 65 535 pixels (big stills).
    column_of:
        (picture columns,) the census column of each.
    chroma:
        (256, 256) uint32 by (Cb, Cr) cut to 8 bits, or None where not wanted or R'G'B'.
    rgb:
        (3, census columns, 256) of R', G', B' by column and level, of the same sample type, on the
        scale of an 8-bit code of the same range (limited: 16 is 0 %, 235 is 100 %), or None.
    clipped:
        (3,) pixels at or above the clip in R', G', B', or None.
    others:
        Room for the counts by chroma of whoever else counts them; added to `chroma` and no more.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> counted = take_census(grey_frame([[64, 940, 940]], cell=2), VIDEO)
    >>> counted.pixels, int(counted.copy().levels[0, 64])
    (12, 2)
    """

    bits: int
    group: int
    pixels: int
    levels: Counts
    column_of: npt.NDArray[np.uint64]
    chroma: npt.NDArray[np.uint32] | None = None
    rgb: Counts | None = None
    clipped: npt.NDArray[np.int64] | None = None
    others: list[npt.NDArray[np.uint32]] = field(default_factory=list)

    def copy(self) -> "Census":
        """One that stays as it is while this one's arrays are filled anew.

        Returns
        -------
        Census
            Of the same counts.
        """
        chroma = None if self.chroma is None else self.chroma.copy()
        rgb = None if self.rgb is None else self.rgb.copy()
        return replace(self, levels=self.levels.copy(), chroma=chroma, rgb=rgb, others=[])

    def has(self, wants: "Wants") -> "Wants":
        """Which of some counts it holds.

        Parameters
        ----------
        wants:
            Those that are asked for.

        Returns
        -------
        Wants
            No more than those.

        Examples
        --------
        >>> from overlays.measure.counting.example_yards import VIDEO
        >>> from overlays.signal.example_frames import grey_frame
        >>> counted = take_census(grey_frame([[64, 940]]), VIDEO, Wants.LEVELS | Wants.CHROMA)
        >>> counted.has(Wants.CHROMA | Wants.CLIPPING).name
        'CHROMA'
        """
        held = Wants.LEVELS
        for each, counts in (
            (Wants.CHROMA, self.chroma),
            (Wants.RGB, self.rgb),
            (Wants.CLIPPING, self.clipped),
        ):
            held |= each if counts is not None else Wants(0)
        return held & wants


def level_scale(census: Census, signal: Signal) -> Scale:
    """The code scale of the census's levels: that of the signal, cut to the census's depth.

    Parameters
    ----------
    census:
        Of a frame.
    signal:
        Of that frame.

    Returns
    -------
    Scale
        In levels of the census, 0 to ``2**bits - 1``.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> level_scale(take_census(grey_frame([[64]]), VIDEO), Signal(bits=12))  # cut to ten bits
    Scale(zero=64.0, span=876.0, top=1023)
    """
    down = float(1 << (signal.bits - census.bits))
    scale = luma_scale(signal)
    return Scale(scale.zero / down, scale.span / down, (1 << census.bits) - 1)


def count_type(most: int) -> type[np.uint16] | type[np.uint32]:
    """The sample type of counts that may reach `most`.

    Parameters
    ----------
    most:
        Pixels that one count may have to hold.

    Returns
    -------
    type
        ``uint16``, or ``uint32`` where that would wrap.

    Examples
    --------
    >>> count_type(1080).__name__, count_type(70_000).__name__
    ('uint16', 'uint32')
    """
    return np.uint16 if most <= MOST_COUNTED else np.uint32


def _room(frame: Frame) -> Census:
    bits = min(frame.signal.bits, DEEPEST_BITS)
    group = -(-frame.columns // MOST_COLUMNS)
    columns = -(-frame.columns // group)
    return Census(
        bits=bits,
        group=group,
        pixels=frame.rows * frame.columns,
        levels=np.zeros((columns, 1 << bits), count_type(frame.rows * group)),
        column_of=(np.arange(frame.columns) // group).astype(np.uint64),
    )


def _fits(census: Census, frame: Frame) -> bool:
    return (
        census.pixels == frame.rows * frame.columns
        and census.bits == min(frame.signal.bits, DEEPEST_BITS)
        and census.column_of.size == frame.columns
        and census.levels.shape[0] == -(-frame.columns // census.group)
        and census.group == -(-frame.columns // MOST_COLUMNS)
    )


def take_census(
    frame: Frame,
    yard: Yardstick,
    wants: Wants = Wants.LEVELS,
    reuse: Census | None = None,
    crew: Crew = ALONE,
) -> Census:
    """Count every pixel of a frame.

    Parameters
    ----------
    frame:
        Any layout; see `Frame`.
    yard:
        Resolved for the frame's signal; gives the clip and the matrix.
    wants:
        Which counts to hold.
    reuse:
        A census of an earlier frame of the same shape, whose arrays are filled anew.
    crew:
        Who counts it; the counts are the same whoever does.

    Returns
    -------
    Census
        `reuse` itself where it fits.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> counted = take_census(grey_frame([[64, 940, 940]], cell=2), VIDEO)
    >>> counted.levels.sum(axis=0)[[64, 940]].tolist()  # pixels: one square, and two
    [4, 8]
    """
    *_, census = census_in_steps(frame, yard, wants, reuse, crew)
    return census


def census_in_steps(
    frame: Frame,
    yard: Yardstick,
    wants: Wants = Wants.LEVELS,
    reuse: Census | None = None,
    crew: Crew = ALONE,
    steps: int = 1,
) -> Iterator[Census]:
    """Count as `take_census` does, in steps; the census, whole after the last, comes with each.

    Parameters
    ----------
    frame, yard, wants, reuse, crew:
        As `take_census` takes them.
    steps:
        How many steps, 1 or more.

    Returns
    -------
    Iterator of Census
        The same one every time; nothing is counted before it is asked for.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> *_, last = census_in_steps(grey_frame([[64, 940, 940]], cell=2), VIDEO, steps=2)
    >>> last.levels.sum(axis=0)[[64, 940]].tolist()  # pixels: one square, and two
    [4, 8]
    """
    census = reuse if reuse is not None and _fits(reuse, frame) else _room(frame)
    rgb, count = frame.signal.components is Components.RGB, crew.workers * steps
    lie = Lie(census.column_of, census.group)
    tasks: list[Task] = []
    if rgb:
        wants |= Wants.RGB
    if Wants.LEVELS in wants:
        tasks += level_tasks(frame, census.levels, lie, count)
    chroma = _chroma_rooms(census, frame, crew.workers) if Wants.CHROMA in wants and not rgb else []
    if chroma:
        tasks += chroma_tasks(frame, chroma)
    if Wants.RGB in wants:
        if census.rgb is None:
            census.rgb = np.zeros((3, census.levels.shape[0], 256), census.levels.dtype)
        tasks += rgb_tasks(frame, census.rgb, lie, yard, count)
    else:
        census.rgb = None
    clipped = None
    if Wants.CLIPPING in wants:
        more, clipped = clipping_tasks(frame, yard, count)
        tasks += more
    for step in range(steps - 1):
        crew.together(tasks[step::steps])
        yield census
    crew.together(tasks[steps - 1 :: steps])
    for other in chroma[1:]:
        chroma[0] += other
    census.chroma = chroma[0] if chroma else None
    census.clipped = None if clipped is None else clipped.sum(axis=0)
    yield census


def histogram(census: Census) -> npt.NDArray[np.int64]:
    """Pixels at each level, (2**bits,) int64, read off the counts by column.

    Parameters
    ----------
    census:
        With its counts by column, (columns, 2**bits).

    Returns
    -------
    ndarray
        Pixels at each level; they add up to the pixels of the picture.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> counts = histogram(take_census(grey_frame([[64, 940, 940]], cell=2), VIDEO))
    >>> int(counts[64]), int(counts[940]), int(counts.sum())
    (4, 8, 12)
    """
    out: npt.NDArray[np.int64] = census.levels.sum(axis=0, dtype=np.int64)
    return out


def _chroma_rooms(census: Census, frame: Frame, workers: int) -> list[npt.NDArray[np.uint32]]:
    """Room for the counts by chroma of each who counts them; the first is the census's own."""
    while len(census.others) < min(workers, frame.planes[1].shape[0]) - 1:
        census.others.append(np.zeros((256, 256), np.uint32))
    own = np.zeros((256, 256), np.uint32) if census.chroma is None else census.chroma
    return [own, *census.others[: min(workers, frame.planes[1].shape[0]) - 1]]
