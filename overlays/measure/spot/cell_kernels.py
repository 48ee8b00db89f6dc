"""The loops that take a spot's surroundings in cells, and find which look like it. Unchecked."""

from typing import Any

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Flat

FloatArray = npt.NDArray[np.float64]
CodeArray = npt.NDArray[np.int64]


@nb.njit(cache=True, nogil=True)
def _fill_plane(
    plane: Flat, place: tuple[int, int, int, int], scale: float, out: FloatArray
) -> None:
    """Mean code of one plane in cells; `place` is (first row, column, rows, columns of a cell)."""
    row0, column0, down, across = place
    buffer, column = plane.buffer, plane.column
    share = scale / (down * across)
    sums = np.empty(out.shape[1], np.int64)
    for i in range(out.shape[0]):
        sums[:] = 0
        for r in range(row0 + i * down, row0 + (i + 1) * down):
            at = r * plane.row + column0 * column
            for j in range(out.shape[1]):
                for _ in range(across):
                    sums[j] += np.int64(buffer[at])
                    at += column
        for j in range(out.shape[1]):
            out[i, j] = sums[j] * share


@nb.njit(cache=True, nogil=True)
def fill_cells(
    planes: tuple[Any, Any, Any],
    area: tuple[int, int, int, int, int],
    scale: float,
    out: FloatArray,
) -> None:
    """Mean code of the three planes in square cells of luma pixels.

    Parameters
    ----------
    planes:
        The frame's three.
    area:
        First row, column, edge of a cell (all even); luma rows and columns to a sample of chroma.
    scale, out:
        Turns a stored sample into a code; (3, rows, columns) float64 codes, written to.
    """
    row0, column0, cell, sub_rows, sub_columns = area
    _fill_plane(planes[0], (row0, column0, cell, cell), scale, out[0])
    place = (row0 // sub_rows, column0 // sub_columns, cell // sub_rows, cell // sub_columns)
    _fill_plane(planes[1], place, scale, out[1])
    _fill_plane(planes[2], place, scale, out[2])


@nb.njit(cache=True, nogil=True)
def _spread(cells: FloatArray) -> tuple[float, float]:
    """Mean and standard deviation of some cells of one plane, added up row by row."""
    total, squares = 0.0, 0.0
    for i in range(cells.shape[0]):
        for j in range(cells.shape[1]):
            total += cells[i, j]
    mean = total / cells.size
    for i in range(cells.shape[0]):
        for j in range(cells.shape[1]):
            squares += (cells[i, j] - mean) * (cells[i, j] - mean)
    return mean, (squares / cells.size) ** 0.5


@nb.njit(cache=True, nogil=True)
def _strip_is_alike(
    cells: FloatArray, low: FloatArray, high: FloatArray, strip: tuple[int, int, int, int]
) -> bool:
    top, bottom, left, right = strip
    allowed = 1 + (bottom - top) * (right - left) // 10
    for p in range(cells.shape[0]):
        unlike, total = 0, 0.0
        for i in range(top, bottom):
            for j in range(left, right):
                total += cells[p, i, j]
                if not low[p] <= cells[p, i, j] <= high[p]:
                    unlike += 1
        away = total / ((bottom - top) * (right - left)) - 0.5 * (low[p] + high[p])
        if unlike > allowed or abs(away) > 0.25 * (high[p] - low[p]):
            return False
    return True


@nb.njit(cache=True, nogil=True)
def grow(cells: FloatArray, seed: tuple[int, int, int, int], least: float) -> CodeArray:
    """The largest rectangle around `seed` that is reached through strips which look like it.

    Of a strip that does, at most one in ten of the cells (and one) lies further from the mean of
    the seed than four standard deviations of its cells, and their mean no further than two.

    Parameters
    ----------
    cells:
        (planes, rows, columns) float64 codes.
    seed:
        First row, behind the last, first column, behind the last.
    least:
        Codes that a deviation is taken for at the least.

    Returns
    -------
    ndarray
        (4,) int64 rows and columns, as `seed`.
    """
    top, bottom, left, right = seed
    low, high = np.empty(cells.shape[0]), np.empty(cells.shape[0])
    for p in range(cells.shape[0]):
        middle, spread = _spread(cells[p, top:bottom, left:right])
        reach = 4.0 * max(spread, least)
        low[p], high[p] = middle - reach, middle + reach
    stopped = np.zeros(4, np.bool_)
    at = np.array([top, bottom, left, right])
    limit = np.array([0, cells.shape[1], 0, cells.shape[2]])
    strip = np.empty(4, np.int64)
    moving = True
    while moving:
        moving = False
        for side in range(4):
            if stopped[side] or at[side] == limit[side]:
                continue
            for k in range(4):
                strip[k] = at[k]
            outwards = -1 if side % 2 == 0 else 1
            strip[side ^ 1] = at[side]
            strip[side] = at[side] + outwards
            if _strip_is_alike(cells, low, high, (strip[0], strip[1], strip[2], strip[3])):
                at[side] += outwards
                moving = True
            else:
                stopped[side] = True
    return at
