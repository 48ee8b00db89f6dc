"""The census: every pixel of a frame counted once, by column and level and by chroma.

Extremes, shares, clipping, trace and chroma trace are all read off these counts.
"""

from dataclasses import dataclass, replace
from enum import Flag, auto

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import (
    Counts,
    count_chroma,
    count_levels,
    count_luma_of_rgb,
    flatten,
)
from overlays.measure.counting.rgb_kernels import count_clipped, count_rgb
from overlays.measure.counting.yardstick import Yardstick
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
    """

    bits: int
    group: int
    pixels: int
    levels: Counts
    column_of: npt.NDArray[np.uint64]
    chroma: npt.NDArray[np.uint32] | None = None
    rgb: Counts | None = None
    clipped: npt.NDArray[np.int64] | None = None

    def copy(self) -> "Census":
        """One that stays as it is while this one's arrays are filled anew.

        Returns
        -------
        Census
            Of the same counts.
        """
        chroma = None if self.chroma is None else self.chroma.copy()
        rgb = None if self.rgb is None else self.rgb.copy()
        return replace(self, levels=self.levels.copy(), chroma=chroma, rgb=rgb)

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

    Returns
    -------
    Census
        `reuse` itself where it fits.
    """
    census = reuse if reuse is not None and _fits(reuse, frame) else _room(frame)
    signal = frame.signal
    flats = flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])
    rgb = signal.components is Components.RGB
    if rgb:
        wants |= Wants.RGB
    if Wants.LEVELS in wants:
        census.levels.fill(0)
        down, depth = frame.shift + signal.bits - census.bits, census.levels.shape[1]
        starts, flat = census.column_of * np.uint64(depth), census.levels.reshape(-1)
        if rgb:
            weights = _fixed_weights(signal)
            count_luma_of_rgb(flats, frame.rows, starts, (down, depth), weights, flat)
        else:
            count_levels(flats[0], frame.rows, starts, down, depth, flat)
    census.chroma = _chroma(frame, census) if Wants.CHROMA in wants and not rgb else None
    sub = signal.subsampling
    if Wants.RGB in wants:
        if census.rgb is None:
            census.rgb = np.zeros((3, census.levels.shape[0], 256), census.levels.dtype)
        census.rgb.fill(0)
        count_rgb(
            flats,
            (frame.rows, sub.rows, sub.columns),
            _rgb_levels(yard),
            census.column_of * np.uint64(256),
            census.rgb.reshape(3, -1),
        )
    elif not rgb:
        census.rgb = None
    census.clipped = None
    if Wants.CLIPPING in wants:
        census.clipped = np.array(
            count_clipped(
                flats, (frame.rows, frame.columns, sub.rows, sub.columns), _clip_test(yard)
            ),
            dtype=np.int64,
        )
    return census


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
    """
    out: npt.NDArray[np.int64] = census.levels.sum(axis=0, dtype=np.int64)
    return out


def _chroma(frame: Frame, census: Census) -> npt.NDArray[np.uint32]:
    counts = census.chroma
    if counts is None:
        counts = np.zeros((256, 256), np.uint32)
    counts.fill(0)
    rows, columns = frame.planes[1].shape
    down = frame.shift + frame.signal.bits - 8
    count_chroma(
        flatten(frame.planes[1]), flatten(frame.planes[2]), rows, columns, down, counts.reshape(-1)
    )
    return counts


def _fixed_weights(signal: Signal) -> npt.NDArray[np.int64]:
    """Luma weights in 1/65536, adding up to exactly one so that greys stay what they are."""
    red, _, blue = (round(w * 65536) for w in signal.matrix.weights)
    return np.array([red, 65536 - red - blue, blue], dtype=np.int64)


def _affine(
    yard: Yardstick, scale: float, shift: float | npt.NDArray[np.float64]
) -> npt.NDArray[np.int64]:
    """``scale * nominal + shift`` of stored samples as (3, 4) integers in 1/2**32."""
    matrix = yard.decoding.matrix * scale
    offset = shift - matrix @ yard.decoding.zero
    return np.rint(np.column_stack((matrix, offset)) * 2.0**32).astype(np.int64)


def _rgb_levels(yard: Yardstick) -> npt.NDArray[np.int64]:
    eight = luma_scale(Signal(bits=8, range=yard.signal.range))
    return _affine(yard, eight.span, eight.zero + 0.5)


def _clip_test(yard: Yardstick) -> npt.NDArray[np.int64]:
    # In codes, and a hundredth of one in favour of the clip: a level exactly on it counts.
    span = luma_scale(yard.signal).span
    return _affine(yard, span, -yard.clip_limits * span + 1e-2)
