"""The loops behind what scatters in a spot and within its tiles. Private, unchecked."""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.spot.noise_kernels import interactions

CodeArray = npt.NDArray[np.int64]

_TILE = 8
"""Edge of the tiles that the noise of a textured spot is looked for in, in samples."""


@nb.njit(cache=True, nogil=True)
def scatter(samples: CodeArray) -> tuple[float, float, float, float]:
    """What scatters in a spot: beside its rows and columns, in all, by quarters, and within tiles.

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
