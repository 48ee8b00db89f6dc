"""The loops over every pixel's R', G' and B'. Private, unchecked, like `kernels`."""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Counts, Flat

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


@nb.njit(cache=True, nogil=True, inline="always")
def _count(
    y: np.int64,
    start: np.uint64,
    of: tuple[np.int64, np.int64, np.int64],
    m: npt.NDArray[np.int64],
    counts: tuple[Counts, Counts, Counts],
) -> None:
    one = np.uint16(1)
    counts[0][start + np.uint64(_held((m[0, 0] * y + of[0]) >> _FRACTION))] += one
    counts[1][start + np.uint64(_held((m[1, 0] * y + of[1]) >> _FRACTION))] += one
    counts[2][start + np.uint64(_held((m[2, 0] * y + of[2]) >> _FRACTION))] += one


@nb.njit(cache=True, nogil=True)
def count_rgb(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int],
    affine: npt.NDArray[np.int64],
    starts: npt.NDArray[np.uint64],
    out: Counts,
) -> None:
    """Add to `out` (3, census columns * 256) the counts of R', G', B' by column and level.

    `shape` is (rows, luma rows per chroma row, luma columns per chroma column); `starts` (columns,)
    is where the counts of a picture column begin. The level of channel k is
    ``affine[k] @ (samples, 1) / 2**32``, rounded down and held to 0..255.

    Parameters
    ----------
    planes:
        Y', Cb, Cr, stored samples.
    shape:
        Of luma, and how many of its samples share one of chroma, down and across.
    affine:
        (3, 4) int64, samples to levels in ``2**-32``.
    starts:
        (columns,) places in a row of `out`.
    out:
        (3, census columns * 256) counts, added to.
    """
    luma, cb, cr = planes
    lumas, blues, reds = luma.buffer, cb.buffer, cr.buffer
    rows, sub_rows, sub_columns = shape
    columns, m, counts = starts.size, affine, (out[0], out[1], out[2])
    # Pairs have a loop of their own: a test within the loop costs more than its work. What is left
    # is 4:4:4, and an odd last column, which has a chroma sample of its own.
    paired = columns - columns % 2 if sub_columns == 2 else 0
    for r in range(rows):
        i, j, k = r * luma.row, (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        for c in range(0, paired, 2):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            _count(np.int64(lumas[i]), starts[c], of, m, counts)
            _count(np.int64(lumas[i + luma.column]), starts[c + 1], of, m, counts)
            i += 2 * luma.column
            j += cb.column
            k += cr.column
        for c in range(paired, columns):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            _count(np.int64(lumas[i]), starts[c], of, m, counts)
            i += luma.column
            j += cb.column
            k += cr.column


@nb.njit(cache=True, nogil=True)
def count_clipped(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int, int],
    affine: npt.NDArray[np.int64],
) -> tuple[int, int, int]:
    """Pixels whose R', G', B' are at or above the clip: ``affine[k] @ (samples, 1) >= 0``.

    `shape` is (rows, columns, luma rows per chroma row, luma columns per chroma column).

    Parameters
    ----------
    planes:
        Y', Cb, Cr, stored samples.
    shape:
        Of luma, and how many of its samples share one of chroma, down and across.
    affine:
        (3, 4) int64, samples to how far each of R', G', B' is above the clip.

    Returns
    -------
    tuple of int
        Pixels for R', G' and B', 0 to rows * columns.
    """
    luma, cb, cr = planes
    lumas, blues, reds = luma.buffer, cb.buffer, cr.buffer
    rows, columns, sub_rows, sub_columns = shape
    m = affine
    red = green = blue = 0
    paired = columns - columns % 2 if sub_columns == 2 else 0
    for r in range(rows):
        i, j, k = r * luma.row, (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        for _ in range(paired // 2):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            y, z = np.int64(lumas[i]), np.int64(lumas[i + luma.column])
            red += (m[0, 0] * y + of[0] >= 0) + (m[0, 0] * z + of[0] >= 0)
            green += (m[1, 0] * y + of[1] >= 0) + (m[1, 0] * z + of[1] >= 0)
            blue += (m[2, 0] * y + of[2] >= 0) + (m[2, 0] * z + of[2] >= 0)
            i += 2 * luma.column
            j += cb.column
            k += cr.column
        for _ in range(columns - paired):
            of = _offsets(m, np.int64(blues[j]), np.int64(reds[k]))
            y = np.int64(lumas[i])
            red += m[0, 0] * y + of[0] >= 0
            green += m[1, 0] * y + of[1] >= 0
            blue += m[2, 0] * y + of[2] >= 0
            i += luma.column
            j += cb.column
            k += cr.column
    return red, green, blue
