"""The loops that look at R', G' and B' of every pixel in small areas. Private, unchecked.

A block is `edge` x `edge` pixels, a tile two by two blocks.
"""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Flat

FloatArray = npt.NDArray[np.float64]
Tiles = npt.NDArray[np.float32]
Sums = npt.NDArray[np.int64]


@nb.njit(cache=True, nogil=True)
def _sum_blocks(
    plane: Flat, area: tuple[int, int, int], wide: int, total: Sums, least: Sums
) -> None:
    """Sum and least sample of each block along a row of blocks.

    `area` is (first row, rows, blocks). Blocks of one and two samples have loops of their own: a
    loop within the loop costs more than its work.
    """
    buffer, step = plane.buffer, plane.column
    top, rows, blocks = area
    total[:blocks] = 0
    least[:blocks] = 1 << 40
    for r in range(top, top + rows):
        i = r * plane.row
        if wide == 1:
            for b in range(blocks):
                one = np.int64(buffer[i])
                i += step
                total[b] += one
                least[b] = min(least[b], one)
        elif wide == 2:
            for b in range(blocks):
                one, two = np.int64(buffer[i]), np.int64(buffer[i + step])
                i += 2 * step
                total[b] += one + two
                least[b] = min(least[b], one, two)
        else:
            for b in range(blocks):
                for _ in range(wide):
                    one = np.int64(buffer[i])
                    i += step
                    total[b] += one
                    least[b] = min(least[b], one)


@nb.njit(cache=True, nogil=True)
def _levels(
    weights: FloatArray,
    sums: Sums,
    half: int,
    tiles: tuple[Tiles, Tiles],
) -> None:
    """Middle and difference across the diagonals of one row of tiles in one channel.

    `weights` (4,) are of the three sums and 1; `sums` is (2 rows of blocks, planes, blocks);
    `half` is 1 where two blocks share a sample of chroma.
    """
    x, y, z, w = weights[0], weights[1], weights[2], weights[3]
    middle, across = tiles
    for j in range(middle.size):
        a, b = 2 * j, 2 * j + 1
        c, d = a >> half, b >> half
        p0 = x * sums[0, 0, a] + y * sums[0, 1, c] + z * sums[0, 2, c]
        p1 = x * sums[0, 0, b] + y * sums[0, 1, d] + z * sums[0, 2, d]
        p2 = x * sums[1, 0, a] + y * sums[1, 1, c] + z * sums[1, 2, c]
        p3 = x * sums[1, 0, b] + y * sums[1, 1, d] + z * sums[1, 2, d]
        middle[j] = 0.5 * (p0 + p1 + p2 + p3 - max(p0, p1, p2, p3) - min(p0, p1, p2, p3)) + w
        across[j] = p0 - p1 - p2 + p3


@nb.njit(cache=True, nogil=True)
def _peaks(weights: FloatArray, sums: Sums, half: int, out: Tiles) -> None:
    """The highest level of four blocks; arguments as those of `_levels`."""
    x, y, z, w = weights[0], weights[1], weights[2], weights[3]
    for j in range(out.size):
        a, b = 2 * j, 2 * j + 1
        c, d = a >> half, b >> half
        p0 = x * sums[0, 0, a] + y * sums[0, 1, c] + z * sums[0, 2, c]
        p1 = x * sums[0, 0, b] + y * sums[0, 1, d] + z * sums[0, 2, d]
        p2 = x * sums[1, 0, a] + y * sums[1, 1, c] + z * sums[1, 2, c]
        p3 = x * sums[1, 0, b] + y * sums[1, 1, d] + z * sums[1, 2, d]
        out[j] = max(p0, p1, p2, p3) + w


@nb.njit(cache=True, nogil=True)
def look_at_areas(
    planes: tuple[Flat, Flat, Flat],
    shape: tuple[int, int, int, int, int],
    affine: tuple[FloatArray, bool],
    tiles: tuple[Tiles, Tiles, Tiles],
) -> None:
    """Levels of every tile.

    Parameters
    ----------
    planes:
        The frame's three.
    shape:
        Tile rows, tile columns, edge of a block in pixels (1 or even, so that blocks begin where
        chroma samples do), luma rows and columns per chroma sample.
    affine:
        (4, 4) float64 levels of R', G', B' and luma from the three stored samples and 1; whether
        the planes are R', G', B'.
    tiles:
        Written to, float32: (4, rows, columns) means of the middle two of a tile's four blocks,
        which a single hot pixel does not move; (4, rows, columns) differences across the diagonals
        of the four, which a gradient does not move; (3, rows, columns) the highest level that all
        pixels of one of its blocks reach.
    """
    rows, columns, edge, sub_rows, sub_columns = shape
    matrix, is_rgb = affine
    high, wide = max(edge // sub_rows, 1), max(edge // sub_columns, 1)
    half = 1 if edge == 1 and sub_columns == 2 else 0
    pixels, samples = float(edge * edge), float(high * wide)
    sums, leasts = np.zeros((2, 3, 2 * columns), np.int64), np.zeros((2, 3, 2 * columns), np.int64)
    means, lows = matrix.copy(), matrix.copy()
    for n in range(4):
        means[n, 0] /= pixels
        for k in range(1, 3):
            means[n, k] /= samples
            if not is_rgb:  # the pixels of a block share its chroma
                lows[n, k] /= samples
    for i in range(rows):
        for k in range(2):
            top = (2 * i + k) * edge
            _sum_blocks(planes[0], (top, edge, 2 * columns), edge, sums[k, 0], leasts[k, 0])
            for p in range(1, 3):
                area = (top // sub_rows, high, 2 * columns >> half)
                plane = planes[1] if p == 1 else planes[2]
                _sum_blocks(plane, area, wide, sums[k, p], leasts[k, p])
                if not is_rgb:
                    leasts[k, p, :] = sums[k, p]
        for n in range(4):
            _levels(means[n], sums, half, (tiles[0][n, i], tiles[1][n, i]))
        for n in range(3):
            _peaks(lows[n], leasts, half, tiles[2][n, i])


@nb.njit(cache=True, nogil=True)
def fullest(tiles: Tiles, by_level: FloatArray, out: Tiles) -> None:
    """``max(by_level[k, tiles[k]])`` over the channels `k` of every tile, levels rounded.

    Parameters
    ----------
    tiles:
        (3, rows, columns) float32 levels; what lies outside the table counts as its end.
    by_level:
        (3, levels) float64.
    out:
        (rows, columns) float32, written to.
    """
    last = by_level.shape[1] - 1
    for i in range(out.shape[0]):
        for j in range(out.shape[1]):
            most = np.float64(-np.inf)
            for k in range(3):
                level = min(max(np.int64(tiles[k, i, j] + 0.5), np.int64(0)), np.int64(last))
                most = max(most, by_level[k, level])
            out[i, j] = most


@nb.njit(cache=True, nogil=True)
def squares(values: Tiles, lowest: float, out: npt.NDArray[np.int32]) -> None:
    """Edge of the largest square that ends at each tile and lies wholly at `lowest` or above.

    Parameters
    ----------
    values:
        (rows, columns) float32, in any unit.
    lowest:
        In the same.
    out:
        (rows, columns) int32, written to: edges in tiles; the square ends at its lower right one.
    """
    for i in range(values.shape[0]):
        for j in range(values.shape[1]):
            edge = 0
            if values[i, j] >= lowest:
                edge = 1
                if i > 0 and j > 0:
                    edge += min(out[i - 1, j], out[i, j - 1], out[i - 1, j - 1])
            out[i, j] = edge


@nb.njit(cache=True, nogil=True)
def spread_over(values: Tiles, low: float, scale: float, out: npt.NDArray[np.int64]) -> None:
    """Add to `out` the counts of ``(values - low) * scale``, rounded down and held.

    Parameters
    ----------
    values:
        (rows, columns) float32.
    low:
        The value that falls on the first count.
    scale:
        Counts for one of their unit.
    out:
        (counts,) int64, added to.
    """
    last = out.size - 1
    for i in range(values.shape[0]):
        for j in range(values.shape[1]):
            place = (values[i, j] - low) * scale
            out[min(max(np.int64(place), np.int64(0)), np.int64(last))] += 1


@nb.njit(cache=True, nogil=True)
def count_pieces(mask: npt.NDArray[np.bool_], least: int) -> int:
    """Pieces of a mask, joined along rows and columns, of at least so many tiles.

    Parameters
    ----------
    mask:
        (rows, columns) bool.
    least:
        Tiles.

    Returns
    -------
    int
        How many there are.
    """
    rows, columns = mask.shape
    seen = np.zeros((rows, columns), np.bool_)
    waiting = np.empty(mask.size, np.int64)
    pieces = 0
    for start in range(mask.size):
        if not mask[start // columns, start % columns] or seen[start // columns, start % columns]:
            continue
        seen[start // columns, start % columns] = True
        waiting[0], done, known = start, 0, 1
        while done < known:
            r, c = waiting[done] // columns, waiting[done] % columns
            done += 1
            for side in range(4):
                i, j = r + (side == 0) - (side == 1), c + (side == 2) - (side == 3)
                if 0 <= i < rows and 0 <= j < columns and mask[i, j] and not seen[i, j]:
                    seen[i, j] = True
                    waiting[known] = i * columns + j
                    known += 1
        pieces += known >= least
    return pieces
