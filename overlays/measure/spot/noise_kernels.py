"""The loops behind the noise of a spot: cells, likeness, interactions. Private, unchecked."""

from typing import Any

import numba as nb
import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
CodeArray = npt.NDArray[np.int64]

_TILE = 8
"""Edge of the tiles that the noise of a textured spot is looked for in, in samples."""


@nb.njit(cache=True, nogil=True)
def fill_cells(
    planes: tuple[Any, Any, Any],
    area: tuple[int, int, int, int, int],
    scale: float,
    out: FloatArray,
) -> None:
    """Mean code of the three planes in square cells of luma pixels.

    `area` is (first row, first column, edge of a cell, luma rows and columns to a sample of
    chroma), all but the last two even; `scale` turns a stored sample into a code. `out` is
    (3, rows, columns) of cells.
    """
    row0, column0, cell, sub_rows, sub_columns = area
    for p in range(3):
        down = cell if p == 0 else cell // sub_rows
        across = cell if p == 0 else cell // sub_columns
        first_row = row0 if p == 0 else row0 // sub_rows
        first_column = column0 if p == 0 else column0 // sub_columns
        plane = planes[0] if p == 0 else (planes[1] if p == 1 else planes[2])
        share = scale / (down * across)
        for i in range(out.shape[1]):
            for j in range(out.shape[2]):
                total = np.int64(0)
                for r in range(first_row + i * down, first_row + (i + 1) * down):
                    at = r * plane.row + (first_column + j * across) * plane.column
                    for _ in range(across):
                        total += np.int64(plane.buffer[at])
                        at += plane.column
                out[p, i, j] = total * share


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

    A strip looks like it where at most one in ten of its cells (and one) lies further from the mean
    of the seed than four standard deviations of the seed's cells (`least` codes at least), and
    their mean no further than two.

    `seed` and the result are (first row, behind the last, first column, behind the last).
    """
    top, bottom, left, right = seed
    low, high = np.empty(cells.shape[0]), np.empty(cells.shape[0])
    for p in range(cells.shape[0]):
        inside = cells[p, top:bottom, left:right]
        middle = inside.mean()
        reach = 4.0 * max(inside.std(), least)
        low[p], high[p] = middle - reach, middle + reach
    stopped = np.zeros(4, np.bool_)
    at = np.array([top, bottom, left, right])
    limit = np.array([0, cells.shape[1], 0, cells.shape[2]])
    moving = True
    while moving:
        moving = False
        for side in range(4):
            if stopped[side] or at[side] == limit[side]:
                continue
            strip = at.copy()
            outwards = -1 if side % 2 == 0 else 1
            strip[side ^ 1] = at[side]
            strip[side] = at[side] + outwards
            if _strip_is_alike(cells, low, high, (strip[0], strip[1], strip[2], strip[3])):
                at[side] += outwards
                moving = True
            else:
                stopped[side] = True
    return at


@nb.njit(cache=True, nogil=True)
def _join_fours(blocks: FloatArray, rows: int, columns: int) -> None:
    """Means of blocks of 2 x 2, in place, into the first `rows` x `columns` of each plane."""
    for p in range(blocks.shape[0]):
        for i in range(rows):
            for j in range(columns):
                total = blocks[p, 2 * i, 2 * j] + blocks[p, 2 * i, 2 * j + 1]
                total += blocks[p, 2 * i + 1, 2 * j] + blocks[p, 2 * i + 1, 2 * j + 1]
                blocks[p, i, j] = 0.25 * total


@nb.njit(cache=True, nogil=True)
def _without_margins(part: FloatArray) -> FloatArray:
    """Every mean less the mean of its row and of its column, plus the mean over all."""
    rows, columns = part.shape
    of_row, of_column = np.zeros(rows), np.zeros(columns)
    for i in range(rows):
        for j in range(columns):
            of_row[i] += part[i, j] / columns
            of_column[j] += part[i, j] / rows
    middle = of_row.mean()
    left = np.empty((rows, columns))
    for i in range(rows):
        for j in range(columns):
            left[i, j] = part[i, j] - of_row[i] - of_column[j] + middle
    return left


@nb.njit(cache=True, nogil=True)
def interactions(cells: FloatArray, levels: int, out: FloatArray, degrees: FloatArray) -> int:
    """Covariances of block means about their row and column means, at growing block sizes.

    Blocks of 1, 2, 4 ... cells; of their means m(i, j) the residual is
    m - mean over i - mean over j + mean over all, which leaves nothing of any f(row) + g(column).
    `out` (levels, planes, planes) is the covariance of the residuals by their degrees of freedom
    (rows - 1)(columns - 1), which stand in `degrees` (levels,). Returns how many levels there are.
    """
    planes, rows, columns = cells.shape
    blocks = cells.copy()
    left = np.empty((planes, rows, columns))
    for level in range(levels):
        if level > 0:
            rows, columns = rows // 2, columns // 2
            _join_fours(blocks, rows, columns)
        if rows < 2 or columns < 2:
            return level
        degrees[level] = (rows - 1) * (columns - 1)
        for p in range(planes):
            left[p, :rows, :columns] = _without_margins(blocks[p, :rows, :columns])
            for q in range(p + 1):
                both = left[p, :rows, :columns] * left[q, :rows, :columns]
                out[level, p, q] = out[level, q, p] = both.sum() / degrees[level]
    return levels


@nb.njit(cache=True, nogil=True)
def scatter(samples: CodeArray) -> tuple[float, float, float, float]:
    """(interaction variance, variance, variance of quarters, median variance within tiles).

    Of (rows, columns) codes; quarters are those of the rectangle, tiles are of 8 samples each way
    or what there is. All 0 where there are no two rows or columns.
    """
    rows, columns = samples.shape
    if rows < 2 or columns < 2:
        return 0.0, 0.0, 0.0, 0.0
    first = samples[0, 0]
    x = np.empty((1, rows, columns))
    for i in range(rows):
        for j in range(columns):
            x[0, i, j] = samples[i, j] - first
    out, degrees = np.zeros((1, 1, 1)), np.zeros(1)
    interactions(x, 1, out, degrees)
    h, w = rows // 2, columns // 2
    quarters = np.array(
        [x[0, :h, :w].mean(), x[0, :h, w:].mean(), x[0, h:, :w].mean(), x[0, h:, w:].mean()]
    )
    down, across = min(_TILE, rows), min(_TILE, columns)
    within = np.empty((rows // down) * (columns // across))
    k = 0
    for i in range(rows // down):
        for j in range(columns // across):
            tile = x[0, i * down : (i + 1) * down, j * across : (j + 1) * across]
            within[k] = tile.var() * tile.size / (tile.size - 1.0)
            k += 1
    return out[0, 0, 0], x[0].var(), quarters.var(), np.median(within)


@nb.njit(cache=True, nogil=True)
def tile_variances(samples: CodeArray, tile: int, least: float) -> tuple[float, float, float]:
    """(mean, variance, share from `least` on) of the variances within whole tiles of codes.

    The area itself is the tile where it holds none; its variance is then all there is, and stands
    for the spread, too.
    """
    rows, columns = samples.shape
    down, across = min(tile, rows), min(tile, columns)
    total, squares, many, count = 0.0, 0.0, 0, 0
    for i in range(rows // down):
        for j in range(columns // across):
            first = samples[i * down, j * across]
            s, q = np.int64(0), np.int64(0)
            for r in range(i * down, (i + 1) * down):
                for c in range(j * across, (j + 1) * across):
                    x = samples[r, c] - first
                    s += x
                    q += x * x
            size = down * across
            variance = (q - s * (s / size)) / max(size - 1, 1)
            total += variance
            squares += variance * variance
            many += variance >= least
            count += 1
    mean = total / count
    spread = mean * mean if count == 1 else max(0.0, squares - count * mean * mean) / (count - 1)
    return mean, spread, many / count
