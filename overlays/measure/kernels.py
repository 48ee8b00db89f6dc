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

Counts = npt.NDArray[np.uint16]


class Flat(NamedTuple):
    """A plane as a flat read-only buffer; sample (r, c) is ``buffer[r * row + c * column]``."""

    buffer: Plane
    row: int
    column: int


def flatten(plane: Plane) -> Flat:
    """The plane for a kernel; no copy."""
    size = plane.dtype.itemsize
    row, column = plane.strides[0] // size, plane.strides[1] // size
    length = (plane.shape[0] - 1) * row + (plane.shape[1] - 1) * column + 1
    buffer = np.lib.stride_tricks.as_strided(plane, (length,), (size,), writeable=False)
    return Flat(cast("Plane", buffer), row, column)


@nb.njit(cache=True, nogil=True)
def count_levels(luma: Flat, rows: int, columns: int, shift: int, group: int, out: Counts) -> None:
    """Add to `out` (columns / group, levels) the counts of every luma sample by column and level.

    Eight rows are taken together: neighbours in a column tend to fall into one cache line. All
    indices are unsigned, which spares the test for a negative one.
    """
    buffer = luma.buffer
    flat = out.reshape(-1)
    levels = np.uint64(out.shape[1])
    mask, down, one = levels - np.uint64(1), np.uint64(shift), np.uint16(1)
    row_step, column_step = np.uint64(luma.row), np.uint64(luma.column)
    for r in range(0, rows, 8):
        together = min(8, rows - r)
        start = np.uint64(r) * row_step
        base = np.uint64(0)
        for first in range(0, columns, group):
            for _ in range(min(group, columns - first)):
                i = start
                if together == 8:
                    for _ in range(8):
                        flat[base + ((np.uint64(buffer[i]) >> down) & mask)] += one
                        i += row_step
                else:
                    for _ in range(together):
                        flat[base + ((np.uint64(buffer[i]) >> down) & mask)] += one
                        i += row_step
                start += column_step
            base += levels


@nb.njit(cache=True, nogil=True)
def count_chroma(
    cb: Flat, cr: Flat, rows: int, columns: int, shift: int, out: npt.NDArray[np.uint32]
) -> None:
    """Add to `out` (65536,) the counts of every chroma sample by (Cb, Cr), 8 bits each."""
    blue, red = cb.buffer, cr.buffer
    down, mask, eight, one = np.uint64(shift), np.uint64(255), np.uint64(8), np.uint32(1)
    for r in range(rows):
        i = np.uint64(r) * np.uint64(cb.row)
        j = np.uint64(r) * np.uint64(cr.row)
        for _ in range(columns):
            b = (np.uint64(blue[i]) >> down) & mask
            v = (np.uint64(red[j]) >> down) & mask
            out[(b << eight) | v] += one
            i += np.uint64(cb.column)
            j += np.uint64(cr.column)


@nb.njit(cache=True, nogil=True)
def count_luma_of_rgb(
    planes: tuple[Flat, Flat, Flat],
    rows: int,
    columns: int,
    cut: tuple[int, int],
    weights: npt.NDArray[np.int64],
    out: Counts,
) -> None:
    """`count_levels` for R', G', B': luma is their weighted sum, rounded to a code.

    `cut` is (shift of a stored sample to a level, picture columns per column of `out`); `weights`
    are in 1/65536.
    """
    shift, group = cut
    mask = out.shape[1] - 1
    red, green, blue = planes
    of_red, of_green, of_blue = red.buffer, green.buffer, blue.buffer
    for r in range(rows):
        for c in range(columns):
            total = (
                weights[0] * np.int64(of_red[r * red.row + c * red.column])
                + weights[1] * np.int64(of_green[r * green.row + c * green.column])
                + weights[2] * np.int64(of_blue[r * blue.row + c * blue.column])
            )
            out[c // group, (((total + 32768) >> 16) >> shift) & mask] += np.uint16(1)
