"""The counts of a frame as tasks for a crew: columns where counts lie by column, rows elsewhere.

Columns part the counts too, so that nothing is added up afterwards; counts by chroma are of the
whole picture, and each swath of rows has its own, which are added to the first.
"""

from functools import partial
from math import lcm
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import (
    Counts,
    Flat,
    count_chroma,
    count_levels,
    count_luma_of_rgb,
    flatten,
)
from overlays.measure.counting.rgb_kernels import count_clipped, count_rgb
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import Task, swaths
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Components, Signal

Planes = tuple[Flat, Flat, Flat]
Long = npt.NDArray[np.int64]
Chroma = npt.NDArray[np.uint32]


class Lie(NamedTuple):
    """Where counts by column lie: the census column of each of the picture, and how many share."""

    column_of: npt.NDArray[np.uint64]
    group: int


def planes_of(frame: Frame) -> Planes:
    """All three planes for a kernel; no copy.

    Parameters
    ----------
    frame:
        Of any layout.

    Returns
    -------
    tuple of Flat
        As by `flatten`.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> [flat.row for flat in planes_of(grey_frame([[64]], cell=4))]  # samples from row to row
    [4, 2, 2]
    """
    return flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])


def level_tasks(frame: Frame, levels: Counts, lie: Lie, count: int) -> list[Task]:
    """Fill the counts by column and level.

    Parameters
    ----------
    frame:
        Of any layout.
    levels:
        (census columns, levels) counts, filled anew.
    lie:
        Where the counts of a picture column are.
    count:
        Swaths at most.

    Returns
    -------
    list of Task
        One for each swath of columns.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> lie, levels = Lie(np.arange(4, dtype=np.uint64), 1), np.zeros((4, 1024), np.uint16)
    >>> for task in level_tasks(grey_frame([[64, 940]]), levels, lie, count=2):
    ...     task()
    >>> levels[:, [64, 940]].tolist()
    [[2, 0], [2, 0], [0, 2], [0, 2]]
    """
    is_rgb = frame.signal.components is Components.RGB
    planes = planes_of(frame) if is_rgb else (flatten(frame.planes[0]),)
    weights = _fixed_weights(frame.signal) if is_rgb else None
    down = frame.shift + frame.signal.bits - (levels.shape[1].bit_length() - 1)
    cuts = swaths(frame.columns, count, lie.group)
    return [partial(_levels, planes, frame.rows, cut, levels, lie, (down, weights)) for cut in cuts]


def chroma_tasks(frame: Frame, counts: list[Chroma]) -> list[Task]:
    """Fill the counts by chroma, each of which is of a part of the rows: they are to be added up.

    Parameters
    ----------
    frame:
        Of Y', Cb, Cr.
    counts:
        (256, 256) for each who shares it, filled anew; no more than there are rows of chroma.

    Returns
    -------
    list of Task
        One for each of `counts`.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> counts = [np.zeros((256, 256), np.uint32)]
    >>> for task in chroma_tasks(grey_frame([[64, 940]]), counts):
    ...     task()
    >>> int(counts[0][128, 128])  # two rows of two samples, neutral
    4
    """
    rows, columns = frame.planes[1].shape
    cb, cr = flatten(frame.planes[1]), flatten(frame.planes[2])
    down = frame.shift + frame.signal.bits - 8
    each = zip(swaths(rows, len(counts)), counts, strict=True)
    return [partial(_chroma, cb, cr, cut, columns, down, out) for cut, out in each]


def rgb_tasks(frame: Frame, rgb: Counts, lie: Lie, yard: Yardstick, count: int) -> list[Task]:
    """Fill the counts of R', G', B' by column and level.

    Parameters
    ----------
    frame:
        Of any layout.
    rgb:
        (3, census columns, 256) counts, filled anew.
    lie:
        Where the counts of a picture column are.
    yard:
        Resolved for the frame's signal; gives the matrix.
    count:
        Swaths at most.

    Returns
    -------
    list of Task
        One for each swath of columns.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> lie, rgb = Lie(np.arange(4, dtype=np.uint64), 1), np.zeros((3, 4, 256), np.uint16)
    >>> for task in rgb_tasks(grey_frame([[64, 940]]), rgb, lie, VIDEO, count=2):
    ...     task()
    >>> rgb[:, :, [16, 235]].sum(axis=1).tolist()  # half of it is black, half is white
    [[4, 4], [4, 4], [4, 4]]
    """
    affine, planes = _rgb_levels(yard), planes_of(frame)
    cuts = swaths(frame.columns, count, lcm(lie.group, frame.signal.subsampling.columns))
    return [partial(_rgb, frame, planes, cut, rgb, lie, affine) for cut in cuts]


def clipping_tasks(frame: Frame, yard: Yardstick, count: int) -> tuple[list[Task], Long]:
    """Count what is clipped.

    Parameters
    ----------
    frame:
        Of any layout.
    yard:
        Resolved for the frame's signal; gives the clip and the matrix.
    count:
        Swaths at most.

    Returns
    -------
    tuple
        A task for each swath of rows, and (swaths, 3) pixels in R', G', B', filled by them.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> tasks, clipped = clipping_tasks(grey_frame([[64, 1019]]), VIDEO, count=2)
    >>> for task in tasks:
    ...     task()
    >>> clipped.sum(axis=0).tolist()  # of eight pixels, the four at the end of the scale
    [4, 4, 4]
    """
    affine = _clip_test(yard)
    cuts = swaths(frame.rows, count, frame.signal.subsampling.rows)
    out = np.zeros((len(cuts), 3), np.int64)
    planes = planes_of(frame)
    tasks: list[Task] = [
        partial(_clipped, frame, planes, cut, affine, out[n]) for n, cut in enumerate(cuts)
    ]
    return tasks, out


def _from(plane: Flat, row: int, column: int) -> Flat:
    """A plane from a sample on."""
    return Flat(plane.buffer[row * plane.row + column * plane.column :], plane.row, plane.column)


def _columns(lie: Lie, cut: tuple[int, int]) -> slice:
    return slice(cut[0] // lie.group, -(-cut[1] // lie.group))


def _levels(
    planes: tuple[Flat, ...],
    rows: int,
    cut: tuple[int, int],
    levels: Counts,
    lie: Lie,
    how: tuple[int, Long | None],
) -> None:
    (first, past), (down, weights) = cut, how
    depth, flat = levels.shape[1], levels.reshape(-1)
    starts = lie.column_of[first:past] * np.uint64(depth)
    if weights is None:
        count_levels(_from(planes[0], 0, first), rows, starts, down, depth, flat)
        return
    levels[_columns(lie, cut)].fill(0)
    here = _from(planes[0], 0, first), _from(planes[1], 0, first), _from(planes[2], 0, first)
    count_luma_of_rgb(here, rows, starts, (down, depth), weights, flat)


def _chroma(cb: Flat, cr: Flat, cut: tuple[int, int], columns: int, down: int, out: Chroma) -> None:
    first, past = cut
    blue, red = _from(cb, first, 0), _from(cr, first, 0)
    count_chroma(blue, red, past - first, columns, down, out.reshape(-1))


def _rgb(
    frame: Frame, planes: Planes, cut: tuple[int, int], rgb: Counts, lie: Lie, affine: Long
) -> None:
    first, past = cut
    sub = frame.signal.subsampling
    rgb[:, _columns(lie, cut)] = 0
    beside = first // sub.columns
    here = _from(planes[0], 0, first), _from(planes[1], 0, beside), _from(planes[2], 0, beside)
    starts = lie.column_of[first:past] * np.uint64(256)
    shape = (frame.rows, sub.rows, sub.columns)
    count_rgb(here, shape, affine, starts, rgb.reshape(3, -1))


def _clipped(frame: Frame, planes: Planes, cut: tuple[int, int], affine: Long, out: Long) -> None:
    first, past = cut
    sub = frame.signal.subsampling
    below = first // sub.rows
    here = _from(planes[0], first, 0), _from(planes[1], below, 0), _from(planes[2], below, 0)
    out[:] = count_clipped(here, (past - first, frame.columns, sub.rows, sub.columns), affine)


def _fixed_weights(signal: Signal) -> Long:
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


def _rgb_levels(yard: Yardstick) -> Long:
    eight = luma_scale(Signal(bits=8, range=yard.signal.range))
    return _affine(yard, eight.span, eight.zero + 0.5)


def _clip_test(yard: Yardstick) -> Long:
    # In codes, and a hundredth of one in favour of the clip: a level exactly on it counts.
    span = luma_scale(yard.signal).span
    return _affine(yard, span, -yard.clip_limits * span + 1e-2)
