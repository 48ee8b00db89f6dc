"""The loop that looks at R', G' and B' of every pixel in small areas. Private, unchecked.

A block is `edge` x `edge` pixels, a tile two by two blocks.
"""

from typing import Any

import numba as nb
import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
Tiles = npt.NDArray[np.float32]
Tally = npt.NDArray[np.uint32]


@nb.njit(cache=True, nogil=True, inline="always")
def _block(plane: Any, top: int, left: int, size: tuple[int, int]) -> tuple[float, float]:
    """(mean, least) of the samples of a plane from (top, left) on."""
    amount = 0.0
    least = 1e9
    for r in range(top, top + size[0]):
        i = r * plane.row + left * plane.column
        for _ in range(size[1]):
            value = float(plane.buffer[i])
            amount += value
            least = min(least, value)
            i += plane.column
    return amount / (size[0] * size[1]), least


@nb.njit(cache=True, nogil=True)
def look_at_areas(
    planes: tuple[Any, Any, Any],
    shape: tuple[int, int, int, int, int],
    affine: tuple[FloatArray, bool],
    tiles: tuple[Tiles, Tiles],
    tallies: tuple[Tally, Tally],
) -> None:
    """Levels of every block and tile.

    `shape` is (tile rows, tile columns, block edge, luma rows and columns per chroma sample), the
    edge 1 or even, so that blocks begin where chroma samples do. `affine` is ((4, 4) levels of
    R', G', B' and luma from the three stored samples and 1, whether the planes are R', G', B').
    `tiles` is ((4, tile rows, tile columns) mean of the middle two of a tile's four blocks, which
    a single hot pixel does not move; (3, ...) differences across the diagonals of the four, which
    a gradient does not move). `tallies` are (3, levels) counts of blocks by their mean level and
    by that of their lowest pixel.
    """
    rows, columns, edge, sub_rows, sub_columns = shape
    m, is_rgb = affine
    middles, across = tiles
    by_mean, by_least = tallies
    top_level = by_mean.shape[1] - 1
    wide = (max(edge // sub_rows, 1), max(edge // sub_columns, 1))
    own = (edge, edge)
    four = np.empty((4, 4))
    for i in range(rows):
        for j in range(columns):
            for k in range(4):
                r, c = (2 * i + k // 2) * edge, (2 * j + k % 2) * edge
                s0, low0 = _block(planes[0], r, c, own)
                s1, low1 = _block(planes[1], r // sub_rows, c // sub_columns, wide)
                s2, low2 = _block(planes[2], r // sub_rows, c // sub_columns, wide)
                if not is_rgb:  # the pixels of a block share its chroma
                    low1, low2 = s1, s2
                for n in range(4):
                    level = m[n, 0] * s0 + m[n, 1] * s1 + m[n, 2] * s2 + m[n, 3]
                    four[n, k] = level
                    if n < 3:
                        least = m[n, 0] * low0 + m[n, 1] * low1 + m[n, 2] * low2 + m[n, 3]
                        by_mean[n, min(max(int(level + 0.5), 0), top_level)] += np.uint32(1)
                        by_least[n, min(max(int(least + 0.5), 0), top_level)] += np.uint32(1)
            for n in range(4):
                a, b, c2, d = four[n, 0], four[n, 1], four[n, 2], four[n, 3]
                high, low = max(max(a, b), max(c2, d)), min(min(a, b), min(c2, d))
                middles[n, i, j] = 0.5 * (a + b + c2 + d - high - low)
                if n < 3:
                    across[n, i, j] = a - b - c2 + d
