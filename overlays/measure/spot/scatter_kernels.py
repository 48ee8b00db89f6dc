"""The loops behind what scatters in a spot and within its tiles. Private, unchecked."""

import numba as nb
import numpy as np
import numpy.typing as npt

CodeArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]

_TILE = 8
"""Edge of the tiles that the noise of a textured spot is looked for in, in samples."""


@nb.njit(cache=True, nogil=True)
def _sums(
    samples: CodeArray, of_row: FloatArray, of_column: FloatArray, quarters: FloatArray
) -> None:
    """Sums of rows, of columns and of the four quarters, by rows; written to, from 0."""
    rows, columns = samples.shape
    half, first = columns // 2, samples[0, 0]
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


@nb.njit(cache=True, nogil=True)
def _by_quarters(quarters: FloatArray, rows: int, columns: int) -> float:
    """Variance of the means of quarters of whose sums they are made."""
    h, w = rows // 2, columns // 2
    total, squares = 0.0, 0.0
    for k in range(4):
        quarters[k] /= (rows - h if k > 1 else h) * (columns - w if k % 2 else w)
        total += quarters[k]
    for k in range(4):
        squares += (quarters[k] - total / 4.0) * (quarters[k] - total / 4.0)
    return squares / 4.0


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
        # Of all, then corrected for the mean: multiplied out, its last bit would be another.
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
    of_row, of_column, quarters = np.zeros(rows), np.zeros(columns), np.zeros(4)
    _sums(samples, of_row, of_column, quarters)
    mean = (quarters[0] + quarters[1] + quarters[2] + quarters[3]) / samples.size
    middle = 0.0
    for i in range(rows):
        of_row[i] /= columns
        middle += of_row[i]
    middle /= rows
    for j in range(columns):
        of_column[j] = of_column[j] / rows - middle
    crossed, squares = _squares(samples, of_row, of_column, mean)
    crossed /= float((rows - 1) * (columns - 1))
    apart = _by_quarters(quarters, rows, columns)
    return crossed, squares / samples.size, apart, _within_tiles(samples)


@nb.njit(cache=True, nogil=True)
def counted(samples: CodeArray) -> CodeArray:
    """How often each code is there, from the lowest to the highest.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.

    Returns
    -------
    ndarray
        (highest - lowest + 1,) int64 numbers of samples.
    """
    low = high = samples[0, 0]
    for i in range(samples.shape[0]):
        for j in range(samples.shape[1]):
            low, high = min(low, samples[i, j]), max(high, samples[i, j])
    counts = np.zeros(high - low + 1, np.int64)
    for i in range(samples.shape[0]):
        for j in range(samples.shape[1]):
            counts[samples[i, j] - low] += 1
    return counts


@nb.njit(cache=True, nogil=True)
def common_step(samples: CodeArray) -> tuple[int, int]:
    """The largest power of two in which all codes lie apart, 0 of one code; highest less lowest.

    Parameters
    ----------
    samples:
        (rows, columns) int64 codes.

    Returns
    -------
    tuple[int, int]
        In codes.
    """
    first = low = high = samples[0, 0]
    apart = np.int64(0)
    for i in range(samples.shape[0]):
        for j in range(samples.shape[1]):
            apart |= samples[i, j] ^ first
            low, high = min(low, samples[i, j]), max(high, samples[i, j])
    return int(apart & -apart), int(high - low)


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
