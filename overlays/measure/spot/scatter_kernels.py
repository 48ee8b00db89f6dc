"""The loops behind what scatters in a spot and within its tiles. Private, unchecked."""

import numba as nb
import numpy as np
import numpy.typing as npt

CodeArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]

_TILE = 8
"""Edge of the tiles that the noise of a textured spot is looked for in, in samples."""


@nb.njit(cache=True, nogil=True)
def _sums(samples: CodeArray, of_row: FloatArray, of_column: FloatArray) -> FloatArray:
    """Sums of rows and columns, written to; returns those of the four quarters, by rows."""
    rows, columns = samples.shape
    half, first = columns // 2, samples[0, 0]
    quarters = np.zeros(4)
    for i in range(rows):
        left, right = 0, 0
        for j in range(columns):
            x = samples[i, j] - first
            of_column[j] += x
            if j < half:
                left += x
            else:
                right += x
        of_row[i] = left + right
        below = 2 * (i >= rows // 2)
        quarters[below] += left
        quarters[below + 1] += right
    return quarters


@nb.njit(cache=True, nogil=True)
def _squares(
    samples: CodeArray, of_row: FloatArray, of_column: FloatArray, mean: float
) -> tuple[float, float]:
    """Sums of the squares of samples about row and column means, and about the `mean` of all."""
    crossed, squares, first = 0.0, 0.0, samples[0, 0]
    for i in range(samples.shape[0]):
        for j in range(samples.shape[1]):
            x = float(samples[i, j] - first)
            beside = x - (of_row[i] + of_column[j])
            crossed += beside * beside
            squares += (x - mean) * (x - mean)
    return crossed, squares


@nb.njit(cache=True, nogil=True)
def _within_tiles(samples: CodeArray) -> float:
    """Median variance within the whole tiles of samples."""
    rows, columns = samples.shape
    down, across = min(_TILE, rows), min(_TILE, columns)
    size, first = down * across, samples[0, 0]
    within = np.empty((rows // down) * (columns // across))
    for k in range(within.size):
        top, left = k // (columns // across) * down, k % (columns // across) * across
        total, squares = 0, 0.0
        for i in range(top, top + down):
            for j in range(left, left + across):
                total += samples[i, j] - first
        mean = total / size
        for i in range(top, top + down):
            for j in range(left, left + across):
                away = float(samples[i, j] - first) - mean
                squares += away * away
        within[k] = squares / size * size / (size - 1.0)
    return float(np.median(within))


@nb.njit(cache=True, nogil=True)
def scatter(samples: CodeArray) -> tuple[float, float, float, float]:
    """What scatters in a spot: beside its rows and columns, in all, by quarters, and within tiles.

    Sums of whole numbers are exact; those of squares are added up row by row.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.

    Returns
    -------
    tuple[float, float, float, float]
        In square codes: variance beside row and column means; variance; variance of the means of
        the rectangle's quarters; median variance within tiles of 8 samples each way, or what there
        is. All 0 where there are no two rows or columns.
    """
    rows, columns = samples.shape
    if rows < 2 or columns < 2:
        return 0.0, 0.0, 0.0, 0.0
    of_row, of_column = np.zeros(rows), np.zeros(columns)
    quarters = _sums(samples, of_row, of_column)
    mean = quarters.sum() / samples.size
    middle = 0.0
    for i in range(rows):
        of_row[i] /= columns
        middle += of_row[i]
    middle /= rows
    for j in range(columns):
        of_column[j] = of_column[j] / rows - middle
    crossed, squares = _squares(samples, of_row, of_column, mean)
    h, w = rows // 2, columns // 2
    quarters /= np.array([h * w, h * (columns - w), (rows - h) * w, (rows - h) * (columns - w)])
    by_quarters = 0.0
    for each in quarters - quarters.sum() / 4.0:
        by_quarters += each * each
    degrees = float((rows - 1) * (columns - 1))
    return crossed / degrees, squares / samples.size, by_quarters / 4.0, _within_tiles(samples)


@nb.njit(cache=True, nogil=True)
def tile_variances(samples: CodeArray, tile: int, least: float) -> tuple[float, float, float]:
    """Of the variances within whole tiles: their mean, how they differ, and how many are large.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.
    tile:
        Edge of a tile in samples; the area itself is the tile where it holds none, and its variance
        stands for the spread, too.
    least:
        Variance from which on a tile is counted, in square codes.

    Returns
    -------
    tuple[float, float, float]
        Mean in square codes, variance of the variances, and the share of tiles, 0 to 1.
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
