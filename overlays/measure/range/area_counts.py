"""The loops that look at R', G' and B' of every pixel in small areas. Private, unchecked.

A block is `edge` x `edge` pixels, a tile two by two blocks.
"""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import Flat

FloatArray = npt.NDArray[np.float64]
Tiles = npt.NDArray[np.float32]
TileRow = npt.NDArray[np.float32]
Sums = npt.NDArray[np.int32]
"""A block of 180 x 180 samples of 16 bits fits: those of a picture of 130 000 pixels each way."""


@nb.njit(cache=True, nogil=True)
def _sum_blocks(
    plane: Flat, area: tuple[int, int], wide: int, shared: bool, total: Sums, least: Sums
) -> None:
    """Sum and least sample of the left and right block of each tile along a row of blocks.

    `area` is (first row, rows); `total` and `least` are (2, tiles), the left blocks and the right
    ones. Where a sample is `shared`, one of chroma serves both. Blocks of one and two samples have
    loops of their own: a loop within the loop costs more than its work.
    """
    buffer, step = plane.buffer, np.uint64(plane.column)  # unsigned: no look for negative ones
    top, rows = area
    total[:] = 0
    least[:] = 1 << 30
    left, right, low, high = total[0], total[1], least[0], least[1]
    for r in range(top, top + rows):
        at = np.uint64(r * plane.row)
        if shared:
            for j in range(left.size):
                one = np.int32(buffer[at])
                at += step
                left[j] += one
                low[j] = min(low[j], one)
        elif wide == 1:
            for j in range(left.size):
                one, two = np.int32(buffer[at]), np.int32(buffer[at + step])
                at += step + step
                left[j] += one
                right[j] += two
                low[j] = min(low[j], one)
                high[j] = min(high[j], two)
        elif wide == 2:
            for j in range(left.size):
                one, two = np.int32(buffer[at]), np.int32(buffer[at + step])
                at += step + step
                left[j] += one + two
                one = min(one, two)
                low[j] = min(low[j], one)
                one, two = np.int32(buffer[at]), np.int32(buffer[at + step])
                at += step + step
                right[j] += one + two
                one = min(one, two)
                high[j] = min(high[j], one)
        else:
            for j in range(left.size):
                for side in range(2):
                    for _ in range(wide):
                        one = np.int32(buffer[at])
                        at += step
                        total[side, j] += one
                        least[side, j] = min(least[side, j], one)
    # Sample by sample: an array set to an array takes two seconds more to compile.
    for j in range(left.size if shared else 0):
        right[j], high[j] = left[j], low[j]


@nb.njit(cache=True, nogil=True)
def _levels(
    weights: FloatArray, upper: Sums, lower: Sums, middle: TileRow, across: TileRow
) -> None:
    """Middle and difference across the diagonals of one row of tiles in one channel.

    `weights` (4,) are of the three sums and 1; `upper` and `lower` are (planes, 2, tiles) sums of
    the left and right blocks.
    """
    x, y, z, w = weights[0], weights[1], weights[2], weights[3]
    for j in range(middle.size):
        p0 = x * upper[0, 0, j] + y * upper[1, 0, j] + z * upper[2, 0, j]
        p1 = x * upper[0, 1, j] + y * upper[1, 1, j] + z * upper[2, 1, j]
        p2 = x * lower[0, 0, j] + y * lower[1, 0, j] + z * lower[2, 0, j]
        p3 = x * lower[0, 1, j] + y * lower[1, 1, j] + z * lower[2, 1, j]
        a, b, c, d = max(p0, p1), max(p2, p3), min(p0, p1), min(p2, p3)
        e, f = min(a, b), max(c, d)  # the middle two, in one order or the other
        middle[j] = 0.5 * (e + f) + w
        across[j] = p0 - p1 - p2 + p3


@nb.njit(cache=True, nogil=True)
def _peaks(weights: FloatArray, upper: Sums, lower: Sums, out: TileRow) -> None:
    """The highest level of four blocks; arguments as those of `_levels`."""
    x, y, z, w = weights[0], weights[1], weights[2], weights[3]
    for j in range(out.size):
        p0 = x * upper[0, 0, j] + y * upper[1, 0, j] + z * upper[2, 0, j]
        p1 = x * upper[0, 1, j] + y * upper[1, 1, j] + z * upper[2, 1, j]
        p2 = x * lower[0, 0, j] + y * lower[1, 0, j] + z * lower[2, 0, j]
        p3 = x * lower[0, 1, j] + y * lower[1, 1, j] + z * lower[2, 1, j]
        a, b = max(p0, p1), max(p2, p3)
        out[j] = max(a, b) + w


@nb.njit(cache=True, nogil=True)
def look_at_areas(
    planes: tuple[Flat, Flat, Flat],
    rows: tuple[int, int],
    shape: tuple[int, int, int, int],
    affine: tuple[FloatArray, bool],
    tiles: tuple[Tiles, Tiles, Tiles],
) -> None:
    """Levels of every tile of some rows of them.

    Parameters
    ----------
    planes:
        The frame's three.
    rows:
        First row of tiles that is looked at, and one past the last.
    shape:
        Tile columns, edge of a block in pixels (1 or even, so that blocks begin where
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
    columns, edge, sub_rows, sub_columns = shape
    matrix, is_rgb = affine
    high, wide = max(edge // sub_rows, 1), max(edge // sub_columns, 1)
    shared = edge == 1 and sub_columns == 2
    pixels, samples = float(edge * edge), float(high * wide)
    sums, leasts = (
        np.zeros((2, 3, 2, columns), np.int32),
        np.zeros((2, 3, 2, columns), np.int32),
    )
    means, lows = matrix.copy(), matrix.copy()
    for n in range(4):
        means[n, 0] /= pixels
        for k in range(1, 3):
            means[n, k] /= samples
            if not is_rgb:  # the pixels of a block share its chroma
                lows[n, k] /= samples
    for i in range(rows[0], rows[1]):
        for k in range(2):
            top = (2 * i + k) * edge
            _sum_blocks(planes[0], (top, edge), edge, False, sums[k, 0], leasts[k, 0])
            for p in range(1, 3):
                plane = planes[1] if p == 1 else planes[2]
                area = (top // sub_rows, high)
                _sum_blocks(plane, area, wide, shared, sums[k, p], leasts[k, p])
                if not is_rgb:
                    for side in range(2):
                        for j in range(columns):
                            leasts[k, p, side, j] = sums[k, p, side, j]
        for n in range(4):
            _levels(means[n], sums[0], sums[1], tiles[0][n, i], tiles[1][n, i])
        for n in range(3):
            _peaks(lows[n], leasts[0], leasts[1], tiles[2][n, i])


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
                full = by_level[k, np.uint64(level)]
                most = max(most, full)
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
            place = np.int64((values[i, j] - low) * scale)
            out[np.uint64(min(max(place, np.int64(0)), np.int64(last)))] += 1


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
    waiting = np.empty((mask.size, 2), np.int32)
    pieces = 0
    for row in range(rows):
        for column in range(columns):
            if not mask[row, column] or seen[row, column]:
                continue
            seen[row, column] = True
            waiting[0, 0], waiting[0, 1], done, known = row, column, 0, 1
            while done < known:
                r, c = waiting[done, 0], waiting[done, 1]
                done += 1
                for side in range(4):
                    i, j = r + (side == 0) - (side == 1), c + (side == 2) - (side == 3)
                    if 0 <= i < rows and 0 <= j < columns and mask[i, j] and not seen[i, j]:
                        seen[i, j] = True
                        waiting[known, 0], waiting[known, 1] = i, j
                        known += 1
            pieces += known >= least
    return pieces
