"""The loops over the tiles of a pile and around it. Private, unchecked."""

import numba as nb
import numpy as np
import numpy.typing as npt

Mask = npt.NDArray[np.bool_]
Levels = npt.NDArray[np.float32]
Away = npt.NDArray[np.uint8]


@nb.njit(cache=True, nogil=True)
def _grow(mask: Away, along: Away) -> None:
    """Add to a mask of 0 and 1 all tiles beside it, in place; `along` is room of its shape.

    Without a branch, so that many tiles are done at a time.
    """
    rows, columns = mask.shape
    for i in range(rows):
        line, out = mask[i], along[i]
        out[0] = line[0] | line[min(1, columns - 1)]
        for j in range(1, columns - 1):
            out[j] = line[j - 1] | line[j] | line[j + 1]
        out[columns - 1] = line[columns - 1] | line[max(columns - 2, 0)]
    for i in range(rows):
        above, line, below = along[max(i - 1, 0)], along[i], along[min(i + 1, rows - 1)]
        out = mask[i]
        for j in range(columns):
            out[j] = above[j] | line[j] | below[j]


@nb.njit(cache=True, nogil=True)
def outline(inside: Away, most: int, away: Away, core: Away) -> None:
    """How far each tile lies from a mask of 0 and 1, and which lie wholly in it.

    Parameters
    ----------
    inside:
        (rows, columns) uint8, 1 in the mask.
    most:
        Steps that are told apart.
    away:
        Written: (rows, columns) uint8, steps to the nearest tile of the mask, along rows, columns
        or diagonals; 0 in it and `most` + 1 from there on.
    core:
        Written: (rows, columns) uint8, 1 where all neighbours lie in the mask, too.
    """
    grown, room = inside.copy(), np.empty_like(inside)
    away[:] = 0
    for step in range(most + 1):
        if step > 0:
            _grow(grown, room)
        for i in range(away.shape[0]):
            for j in range(away.shape[1]):
                away[i, j] += np.uint8(1) - grown[i, j]
    for i in range(away.shape[0]):
        for j in range(away.shape[1]):
            core[i, j] = np.uint8(1) - inside[i, j]
    _grow(core, room)
    for i in range(away.shape[0]):
        for j in range(away.shape[1]):
            core[i, j] = np.uint8(1) - core[i, j]


@nb.njit(cache=True, nogil=True)
def _steepness(tiles: Levels, i: int, j: int) -> float:
    """Difference of a tile's neighbours, along rows or columns, whichever is greater."""
    rows, columns = tiles.shape
    down = tiles[min(i + 1, rows - 1), j] - tiles[max(i - 1, 0), j]
    along = tiles[i, min(j + 1, columns - 1)] - tiles[i, max(j - 1, 0)]
    steepest: float = max(abs(down), abs(along))
    return steepest


@nb.njit(cache=True, nogil=True)
def _is_surrounded(inside: Mask, i: int, j: int, most: int) -> bool:
    """Whether a tile has at least `most` of its eight neighbours in a mask."""
    rows, columns = inside.shape
    count = 0
    for r in range(max(i - 1, 0), min(i + 2, rows)):
        for c in range(max(j - 1, 0), min(j + 2, columns)):
            if inside[r, c] and not (r == i and c == j):
                count += 1
    return count >= most


@nb.njit(cache=True, nogil=True)
def met_around(
    tiles: Levels,
    inside: Mask,
    away: Away,
    limits: tuple[float, float, float],
    counts: tuple[int, int],
) -> tuple[int, Levels]:
    """What surrounds a pile, and what of it runs up to it.

    Parameters
    ----------
    tiles:
        (rows, columns) float32 levels.
    inside, away:
        (rows, columns) bool and uint8: the tiles of the pile, steps of the others to it.
    limits:
        Levels: below which a tile is beneath the pile, down to which it lies just beneath it, and
        the most steepness of what is no edge.
    counts:
        Steps around the pile that are looked at; neighbours in it from which on a tile is one of
        its outliers.

    Returns
    -------
    around:
        Tiles around it that lie beneath it.
    met:
        (n,) float32, levels of those just beneath it.
    """
    beneath, lowest, steepest = limits
    ring, surrounded = counts
    met = np.empty(tiles.size, np.float32)
    around, found = 0, 0
    for i in range(tiles.shape[0]):
        for j in range(tiles.shape[1]):
            if away[i, j] > ring or not tiles[i, j] < beneath:
                continue
            if _is_surrounded(inside, i, j, surrounded):
                continue
            around += 1
            if tiles[i, j] >= lowest and _steepness(tiles, i, j) <= steepest:
                met[found] = tiles[i, j]
                found += 1
    return around, met[:found]


@nb.njit(cache=True, nogil=True)
def noise_beneath(
    tiles: Levels,
    across: Levels,
    away: Away,
    limits: tuple[float, float],
    every: int,
) -> tuple[Levels, Levels]:
    """Noise and levels of smooth tiles beneath a pile and not beside it.

    Parameters
    ----------
    tiles, across:
        (rows, columns) float32: levels, and differences within a tile.
    away:
        (rows, columns) uint8, steps of each tile to the pile.
    limits:
        Levels: below which a tile lies beneath it, and the most steepness.
    every:
        Of the columns every so many are taken.

    Returns
    -------
    noise, levels:
        (n,) float32, absolute differences and levels.
    """
    beneath, steepest = limits
    noise, levels = np.empty(tiles.size, np.float32), np.empty(tiles.size, np.float32)
    found = 0
    for i in range(tiles.shape[0]):
        for j in range(0, tiles.shape[1], every):
            lies_there = tiles[i, j] < beneath and away[i, j] > 1
            if lies_there and _steepness(tiles, i, j) <= steepest:
                noise[found] = abs(across[i, j])
                levels[found] = tiles[i, j]
                found += 1
    return noise[:found], levels[:found]


@nb.njit(cache=True, nogil=True)
def full_cells(tiles: Levels, inside: Mask, cell: int) -> npt.NDArray[np.float64]:
    """Means of the tiles of a mask in those cells that it half fills.

    Parameters
    ----------
    tiles:
        (rows, columns) float32 levels.
    inside:
        (rows, columns) bool, the mask.
    cell:
        Tiles along a cell.

    Returns
    -------
    ndarray
        (n,) float64, in levels.
    """
    rows, columns = tiles.shape[0] // cell, tiles.shape[1] // cell
    means = np.empty(rows * columns)
    full = 0
    for r in range(rows):
        for c in range(columns):
            held, total = 0, 0.0
            for i in range(r * cell, (r + 1) * cell):
                for j in range(c * cell, (c + 1) * cell):
                    if inside[i, j]:
                        held += 1
                        total += tiles[i, j]
            if held >= cell * cell // 2:
                means[full] = total / held
                full += 1
    return means[:full]


@nb.njit(cache=True, nogil=True)
def settled(
    bright: Levels, start: tuple[float, float], limits: tuple[float, float, int]
) -> tuple[float, float, int]:
    """The pile of levels around a level.

    Only the upper half tells its own spread: beneath it the picture goes on.

    Parameters
    ----------
    bright:
        (n,) float32 levels, sorted.
    start:
        Level and deviation to begin with.
    limits:
        Least and most deviation, and fewest tiles of a pile.

    Returns
    -------
    level, deviation:
        Of the pile, in levels.
    tiles:
        How many are in it; 0 where there is none.
    """
    middle, deviation = start
    least, most, fewest = limits
    for _ in range(6):  # settles: each turn looks at what the last one found
        reach = max(2.5 * deviation, 2.0 * least)
        first = np.searchsorted(bright, np.float32(middle - reach), side="left")
        last = np.searchsorted(bright, np.float32(middle + reach), side="right")
        if last - first < fewest:
            return 0.0, 0.0, 0
        middle = np.float64(bright[first + (last - first) // 2])
        upper = np.searchsorted(bright, np.float32(middle), side="left")
        squares = 0.0
        for k in range(upper, last):
            squares += (bright[k] - middle) ** 2
        deviation = min(max(np.sqrt(squares / (last - upper)), least), most)
    low = np.searchsorted(bright, np.float32(middle - 3.0 * deviation), side="left")
    high = np.searchsorted(bright, np.float32(middle + 3.0 * deviation), side="right")
    return middle, deviation, int(high - low)
