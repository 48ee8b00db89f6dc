"""The loops over every pixel. Private, unchecked: the public functions beside them check.

A plane reaches a kernel as a flat buffer and two steps (`flatten`), so that one kernel text, and
one compiled body for each sample size, serves every layout. Samples are masked before they index
a count: a stray bit in a driver's buffer must not write outside it.
"""

from typing import NamedTuple, cast

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Plane

Counts = npt.NDArray[np.uint16 | np.uint32]
"""Counts by column and level; the wider sort where a column holds more than 65 535 pixels."""


class Flat(NamedTuple):
    """A plane as a flat read-only buffer; sample (r, c) is ``buffer[r * row + c * column]``."""

    buffer: Plane
    row: int
    column: int


def flatten(plane: Plane) -> Flat:
    """The plane for a kernel; no copy.

    Parameters
    ----------
    plane:
        (rows, columns) of unsigned samples, with any strides that are not negative.

    Returns
    -------
    Flat
        Its samples in one dimension, and its steps by row and by column, in samples.

    Examples
    --------
    >>> flatten(np.zeros((4, 6), np.uint8)[:, ::2])[1:]
    (6, 2)
    """
    size = plane.dtype.itemsize
    row, column = plane.strides[0] // size, plane.strides[1] // size
    if plane.flags.c_contiguous:  # as most are; the other way takes ten times as long
        whole = plane.reshape(-1)
        whole.flags.writeable = False
        return Flat(whole, row, column)
    length = (plane.shape[0] - 1) * row + (plane.shape[1] - 1) * column + 1
    buffer = np.lib.stride_tricks.as_strided(plane, (length,), (size,), writeable=False)
    return Flat(cast("Plane", buffer), row, column)


@nb.njit(cache=True, nogil=True)
def count_levels(
    luma: Flat, rows: int, starts: npt.NDArray[np.uint64], shift: int, levels: int, out: Counts
) -> None:
    """Fill the counts of every luma sample by column and level.

    Counts are cleared here, since whoever clears them outside has to ask for Python's lock once
    more, which other workers hold. `starts` (columns,) is where the counts of a picture column
    begin in `out`, which is flat and has `levels` (a power of two) counts for each. Eight rows are
    taken together: neighbours in a column tend to fall into one cache line. Indices are unsigned,
    which spares the test for a negative one.

    Parameters
    ----------
    luma:
        Stored samples, unsigned.
    rows:
        Of the picture; columns are as many as `starts`.
    starts:
        (columns,) places in `out`.
    shift:
        Bits that a stored sample is shifted down by to be a level.
    levels:
        Counts of one column, a power of two.
    out:
        Flat counts; those of these columns are filled anew.
    """
    buffer = luma.buffer
    out[starts[0] : starts[starts.size - 1] + np.uint64(levels)] = 0
    mask, down, one = np.uint64(levels - 1), np.uint64(shift), np.uint16(1)
    row_step, column_step = np.uint64(luma.row), np.uint64(luma.column)
    for r in range(0, rows - rows % 8, 8):
        first = np.uint64(r) * row_step
        for c in range(starts.size):
            start, i = starts[c], first
            for _ in range(8):
                out[start + ((np.uint64(buffer[i]) >> down) & mask)] += one
                i += row_step
            first += column_step
    for r in range(rows - rows % 8, rows):
        i = np.uint64(r) * row_step
        for c in range(starts.size):
            out[starts[c] + ((np.uint64(buffer[i]) >> down) & mask)] += one
            i += column_step


@nb.njit(cache=True, nogil=True)
def count_chroma(
    cb: Flat, cr: Flat, rows: int, columns: int, shift: int, out: npt.NDArray[np.uint32]
) -> None:
    """Fill `out` (65536,) with the counts of every chroma sample by (Cb, Cr), 8 bits each.

    Parameters
    ----------
    cb, cr:
        Stored samples, unsigned, as many of either.
    rows, columns:
        Of a chroma plane.
    shift:
        Bits that a stored sample is shifted down by to have 8 bits.
    out:
        (65536,) counts, Cb the upper eight bits of the place; filled anew.
    """
    out[:] = 0
    blue, red = cb.buffer, cr.buffer
    down, mask, eight, one = np.uint64(shift), np.uint64(255), np.uint64(8), np.uint32(1)
    blue_step, red_step = np.uint64(cb.column), np.uint64(cr.column)
    for r in range(rows):
        i = np.uint64(r) * np.uint64(cb.row)
        j = np.uint64(r) * np.uint64(cr.row)
        if shift == 0:  # a loop of its own: a shift by nothing costs an eighth of it
            for _ in range(columns):
                b, v = np.uint64(blue[i]) & mask, np.uint64(red[j]) & mask
                out[(b << eight) | v] += one
                i += blue_step
                j += red_step
        else:
            for _ in range(columns):
                b, v = (np.uint64(blue[i]) >> down) & mask, (np.uint64(red[j]) >> down) & mask
                out[(b << eight) | v] += one
                i += blue_step
                j += red_step


@nb.njit(cache=True, nogil=True)
def count_luma_of_rgb(
    planes: tuple[Flat, Flat, Flat],
    rows: int,
    starts: npt.NDArray[np.uint64],
    cut: tuple[int, int],
    weights: npt.NDArray[np.int64],
    out: Counts,
) -> None:
    """`count_levels` for R', G', B': luma is their weighted sum, rounded to a code.

    `cut` is (shift of a stored sample to a level, levels); `weights` are in 1/65536.

    Parameters
    ----------
    planes:
        R', G' and B', stored samples.
    rows:
        Of the picture.
    starts:
        (columns,) places in `out`.
    cut:
        (bits to shift down, levels of one column).
    weights:
        (3,) of R', G', B', in 1/65536.
    out:
        Flat counts, added to.
    """
    shift, levels = cut
    mask = levels - 1
    red, green, blue = planes
    of_red, of_green, of_blue = red.buffer, green.buffer, blue.buffer
    for r in range(rows):
        for c in range(starts.size):
            total = (
                weights[0] * np.int64(of_red[r * red.row + c * red.column])
                + weights[1] * np.int64(of_green[r * green.row + c * green.column])
                + weights[2] * np.int64(of_blue[r * blue.row + c * blue.column])
            )
            level = np.uint64((((total + 32768) >> 16) >> shift) & mask)
            out[starts[c] + level] += np.uint16(1)
