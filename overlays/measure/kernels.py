"""The loops over every pixel. Private, unchecked: the public functions beside them check.

A plane reaches a kernel as a flat buffer and two steps (`flatten`), so that one kernel text, and
one compiled body for each sample size, serves every layout. Samples are masked before they index
a count: a stray bit in a driver's buffer must not write outside it.
"""

from typing import Any, NamedTuple, cast

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Plane

FloatArray = npt.NDArray[np.float64]
Counts = npt.NDArray[np.uint16]


_FRACTION = 32
"""Bits behind the point of fixed-point levels: 16-bit samples lose nothing."""
_BEND = 8
"""Nodes of the light table to each side over which its curvature is taken: two 10-bit codes."""


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
    for r in range(rows):
        for c in range(columns):
            total = (
                weights[0] * np.int64(red.buffer[r * red.row + c * red.column])
                + weights[1] * np.int64(green.buffer[r * green.row + c * green.column])
                + weights[2] * np.int64(blue.buffer[r * blue.row + c * blue.column])
            )
            out[c // group, (((total + 32768) >> 16) >> shift) & mask] += np.uint16(1)


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
    rows, columns, sub_rows, sub_columns = shape
    red, green, blue = out[0].reshape(-1), out[1].reshape(-1), out[2].reshape(-1)
    base = np.empty(columns, np.uint64)
    for c in range(columns):
        base[c] = np.uint64((c // group) * 256)
    low, high, one = np.int64(0), np.int64(255), np.uint16(1)
    m = affine
    for r in range(rows):
        i = r * luma.row
        j, k = (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        for first in range(0, columns, sub_columns):
            b, v = np.int64(cb.buffer[j]), np.int64(cr.buffer[k])
            j += cb.column
            k += cr.column
            of_red = m[0, 1] * b + m[0, 2] * v + m[0, 3]
            of_green = m[1, 1] * b + m[1, 2] * v + m[1, 3]
            of_blue = m[2, 1] * b + m[2, 2] * v + m[2, 3]
            for c in range(first, min(first + sub_columns, columns)):
                y = np.int64(luma.buffer[i])
                i += luma.column
                level = min(max((m[0, 0] * y + of_red) >> _FRACTION, low), high)
                red[base[c] + np.uint64(level)] += one
                level = min(max((m[1, 0] * y + of_green) >> _FRACTION, low), high)
                green[base[c] + np.uint64(level)] += one
                level = min(max((m[2, 0] * y + of_blue) >> _FRACTION, low), high)
                blue[base[c] + np.uint64(level)] += one


@nb.njit(cache=True, nogil=True)
def count_clipped(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int, int],
    affine: npt.NDArray[np.int64],
) -> tuple[int, int, int]:
    """Pixels whose R', G', B' are at or above the clip: ``affine[k] @ (samples, 1) >= 0``."""
    luma, cb, cr = planes
    rows, columns, sub_rows, sub_columns = shape
    m = affine
    red = green = blue = 0
    for r in range(rows):
        i = r * luma.row
        j, k = (r // sub_rows) * cb.row, (r // sub_rows) * cr.row
        for first in range(0, columns, sub_columns):
            b, v = np.int64(cb.buffer[j]), np.int64(cr.buffer[k])
            j += cb.column
            k += cr.column
            of_red = m[0, 1] * b + m[0, 2] * v + m[0, 3]
            of_green = m[1, 1] * b + m[1, 2] * v + m[1, 3]
            of_blue = m[2, 1] * b + m[2, 2] * v + m[2, 3]
            for _ in range(min(sub_columns, columns - first)):
                y = np.int64(luma.buffer[i])
                i += luma.column
                red += m[0, 0] * y + of_red >= 0
                green += m[1, 0] * y + of_green >= 0
                blue += m[2, 0] * y + of_blue >= 0
    return red, green, blue


@nb.njit(cache=True, nogil=True)
def sum_tiles(luma: Flat, rows: int, columns: int, tile: int, out: FloatArray) -> None:
    """Sum of the stored luma samples of every whole `tile` x `tile` square, into `out`."""
    for i in range(rows // tile):
        for r in range(i * tile, (i + 1) * tile):
            for j in range(columns // tile):
                start = r * luma.row + j * tile * luma.column
                total = np.int64(0)
                for k in range(tile):
                    total += np.int64(luma.buffer[start + k * luma.column])
                out[i, j] += total


@nb.njit(cache=True, nogil=True)
def window_orders(tiles: FloatArray, look: tuple[int, int, int], out: FloatArray) -> None:
    """Four order statistics of the tiles of windows of `across` x `across`.

    `look` is (across, spare, step): a window starts at every `step` tiles. `out` (4, window rows,
    window columns): the least, number `spare` from below, number `spare` from above, the greatest.
    """
    across, spare, step = look
    count = across * across
    values = np.empty(count)
    for r in range(out.shape[1]):
        for c in range(out.shape[2]):
            for i in range(count):
                value = tiles[r * step + i // across, c * step + i % across]
                j = i
                while j > 0 and values[j - 1] > value:
                    values[j] = values[j - 1]
                    j -= 1
                values[j] = value
            out[0, r, c] = values[0]
            out[1, r, c] = values[spare]
            out[2, r, c] = values[count - 1 - spare]
            out[3, r, c] = values[count - 1]


@nb.njit(cache=True, nogil=True)
def spot_light(
    planes: tuple[Any, Any, Any],
    area: tuple[int, int, int, int, int, int],
    decoding: tuple[FloatArray, FloatArray],
    table: tuple[float, float, FloatArray],
    limits: tuple[float, float, float, float, float],
    out: FloatArray,
) -> None:
    """Sums over a rectangle of pixels in linear light, for `read_spot`.

    `area` is (first row, rows, first column, columns, luma rows and columns per chroma sample);
    `decoding` is (matrix to nominal, zero); `limits` is (clip, floor, Kr, Kg, Kb), levels nominal.
    `out` (23,): 0..2 sums of R, G, B; 3..5 of their slopes dlight/dnominal; 6..11 of products of
    slopes RR, GG, BB, RG, RB, GB; 12..14 pixels clipped per channel; 15 clipped in any; 16 below
    the floor; 17..19 sums of the stored samples;
    20..22 of the curvatures d2light/dnominal2.
    """
    matrix, zero = decoding
    low, step, nodes = table
    last = nodes.size - 2
    row0, rows, column0, columns, sub_rows, sub_columns = area
    slope = np.zeros(3)
    for r in range(row0, row0 + rows):
        for c in range(column0, column0 + columns):
            s0 = float(planes[0].buffer[r * planes[0].row + c * planes[0].column])
            rc, cc = r // sub_rows, c // sub_columns
            s1 = float(planes[1].buffer[rc * planes[1].row + cc * planes[1].column])
            s2 = float(planes[2].buffer[rc * planes[2].row + cc * planes[2].column])
            any_clipped = 0.0
            luma = 0.0
            for k in range(3):
                nominal = (
                    matrix[k, 0] * (s0 - zero[0])
                    + matrix[k, 1] * (s1 - zero[1])
                    + matrix[k, 2] * (s2 - zero[2])
                )
                luma += limits[2 + k] * nominal
                place = (nominal - low) / step
                i = min(max(int(place), 0), last)
                slope[k] = (nodes[i + 1] - nodes[i]) / step
                out[k] += nodes[i] + (nodes[i + 1] - nodes[i]) * (place - i)
                out[3 + k] += slope[k]
                out[6 + k] += slope[k] * slope[k]
                i = min(max(i, _BEND), last - _BEND)
                bend = nodes[i + _BEND] - 2.0 * nodes[i] + nodes[i - _BEND]
                out[20 + k] += bend / (_BEND * step) ** 2
                if nominal >= limits[0]:
                    out[12 + k] += 1.0
                    any_clipped = 1.0
            out[9] += slope[0] * slope[1]
            out[10] += slope[0] * slope[2]
            out[11] += slope[1] * slope[2]
            out[15] += any_clipped
            if luma < limits[1]:
                out[16] += 1.0
            out[17] += s0
            out[18] += s1
            out[19] += s2
