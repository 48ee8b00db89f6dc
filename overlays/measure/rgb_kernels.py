"""The loops over every pixel's R', G' and B'. Private, unchecked, like `kernels`."""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.kernels import Counts, Flat

_FRACTION = 32
"""Bits behind the point of fixed-point levels: 16-bit samples lose nothing."""


@nb.njit(cache=True, nogil=True, inline="always")
def _held(level: np.int64) -> np.int64:
    return min(max(level, np.int64(0)), np.int64(255))


@nb.njit(cache=True, nogil=True, inline="always")
def _offsets(
    m: npt.NDArray[np.int64], b: np.int64, v: np.int64
) -> tuple[np.int64, np.int64, np.int64]:
    """What two chroma samples add to R', G' and B' of every luma sample sited with them."""
    return (
        m[0, 1] * b + m[0, 2] * v + m[0, 3],
        m[1, 1] * b + m[1, 2] * v + m[1, 3],
        m[2, 1] * b + m[2, 2] * v + m[2, 3],
    )


@nb.njit(cache=True, nogil=True)
def count_rgb(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int, int],
    affine: npt.NDArray[np.int64],
    group: int,
    out: Counts,
) -> None:
    """Add to `out` (3, columns / group, 256) the counts of R', G', B' by column and level.

    `shape` is (rows, columns, luma rows per chroma row, luma columns per chroma column); the level
    of channel k is ``affine[k] @ (samples, 1) / 2**32``, rounded down and held to 0..255.
    """
    luma, cb, cr = planes
    lumas, blues, reds = luma.buffer, cb.buffer, cr.buffer
    rows, columns, sub_rows, sub_columns = shape
    red, green, blue = out[0].reshape(-1), out[1].reshape(-1), out[2].reshape(-1)
    one, m = np.uint16(1), affine
    base = np.empty(columns, np.uint64)
    for c in range(columns):
        base[c] = np.uint64((c // group) * 256)
    for r in range(rows):
        i, c = r * luma.row, 0
        j, k = (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        for left in range(columns, 0, -sub_columns):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            for _ in range(min(left, sub_columns)):
                y, at = np.int64(lumas[i]), base[c]
                red[at + np.uint64(_held((m[0, 0] * y + of[0]) >> _FRACTION))] += one
                green[at + np.uint64(_held((m[1, 0] * y + of[1]) >> _FRACTION))] += one
                blue[at + np.uint64(_held((m[2, 0] * y + of[2]) >> _FRACTION))] += one
                i += luma.column
                c += 1
            j += cb.column
            k += cr.column


@nb.njit(cache=True, nogil=True)
def count_clipped(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int, int],
    affine: npt.NDArray[np.int64],
) -> tuple[int, int, int]:
    """Pixels whose R', G', B' are at or above the clip: ``affine[k] @ (samples, 1) >= 0``."""
    luma, cb, cr = planes
    lumas, blues, reds = luma.buffer, cb.buffer, cr.buffer
    rows, columns, sub_rows, sub_columns = shape
    m = affine
    two = sub_columns == 2
    red = green = blue = 0
    for r in range(rows):
        i = r * luma.row
        j, k = (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        # An odd last column has a chroma sample of its own, like the samples of 4:4:4.
        for _ in range(columns // sub_columns):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            y = np.int64(lumas[i])
            red += m[0, 0] * y + of[0] >= 0
            green += m[1, 0] * y + of[1] >= 0
            blue += m[2, 0] * y + of[2] >= 0
            if two:
                y = np.int64(lumas[i + luma.column])
                red += m[0, 0] * y + of[0] >= 0
                green += m[1, 0] * y + of[1] >= 0
                blue += m[2, 0] * y + of[2] >= 0
            i += luma.column * sub_columns
            j += cb.column
            k += cr.column
        if columns % sub_columns:
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            y = np.int64(lumas[i])
            red += m[0, 0] * y + of[0] >= 0
            green += m[1, 0] * y + of[1] >= 0
            blue += m[2, 0] * y + of[2] >= 0
    return red, green, blue
