"""A grid of patches among the flat places of a picture."""

import math
from dataclasses import dataclass

import numba
import numpy as np
import numpy.typing as npt

from overlays.measure.chart.blobs import Blob
from overlays.measure.chart.place import homography, project
from overlays.sharing.stepwise import Steps, whole
from overlays.signal.gamuts import FloatArray

FEWEST = 9
"""Fewest patches for which a grid is examined."""
ENOUGH = 20
REACH = 0.28
"""How far, in steps of the grid, a patch may lie from where its neighbours say."""
MOST_CELLS = 36
"""A grid much fuller than a chart of 24 is a tiled wall, a keyboard or a window."""
_NEIGHBOURS = 8
_MOST_SEEDS = 250
_AWAY = 6
"""Cells from a seed that a grid is followed to, either way."""
_SIDE = 2 * _AWAY + 1
_MOST_FOUND = _SIDE**2
Cell = tuple[int, int]
Step = tuple[float, float]
"""From a patch to the next: columns and rows of pixels of the small picture."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Patches by (column, row) of a grid of unknown start, and the map from it to the picture."""

    cells: dict[Cell, int]
    matrix: FloatArray


def _links(points: FloatArray, areas: FloatArray, seed: int) -> list[Step]:
    """Vectors from a blob to near ones of about its size, shortest first."""
    ways = points - points[seed]
    far = np.hypot(ways[:, 0], ways[:, 1])
    size = math.sqrt(float(areas[seed]))
    alike = (areas > 0.4 * areas[seed]) & (areas < 2.5 * areas[seed])
    good = np.flatnonzero(alike & (far > 0.9 * size) & (far < 3.0 * size + 6.0))
    return [tuple(ways[n].tolist()) for n in good[np.argsort(far[good])][:_NEIGHBOURS]]


def _bases(links: list[Step]) -> list[tuple[Step, Step]]:
    """Pairs of vectors that could be one step right and one step down, the shortest first.

    A skewed pair spans the same grid as the square one but is longer. A patch at the rim has
    neighbours on one side only, so the opposite vectors are tried too.
    """
    out = []
    links = [*links, *((-x, -y) for x, y in links)]
    lengths = [float(np.hypot(*link)) for link in links]
    for one, long in zip(links, lengths, strict=True):
        if one[0] < abs(one[1]) - 1e-9:
            continue
        for two, other in zip(links, lengths, strict=True):
            square = one[0] * two[1] - one[1] * two[0] > 0.6 * long * other
            if square and 0.5 < long / other < 2.0:
                out.append((long + other, one, two))
    return [(one, two) for _, one, two in sorted(out, key=lambda each: each[0])]


def _grown(points: FloatArray, seed: int, right: Step, down: Step) -> dict[Cell, int]:
    """Blobs that stand in a grid with the seed, in the order in which they are found."""
    cells, blobs = np.empty((_MOST_FOUND, 2), np.int64), np.empty(_MOST_FOUND, np.int64)
    count = _grow(points, seed, np.array([right, down]), cells, blobs)
    found = map(tuple, cells[:count].tolist())
    return dict(zip(found, blobs[:count].tolist(), strict=True))


@numba.njit(cache=True, nogil=True)
def _grow(
    points: FloatArray,
    seed: int,
    first: FloatArray,
    cells: npt.NDArray[np.int64],
    blobs: npt.NDArray[np.int64],
) -> int:
    """Fill the cells of a grid and their blobs from a seed on; returns how many.

    `first` is (2, 2): the step right and the step down at the seed. Each cell has steps of its own.
    """
    steps = np.empty((blobs.size, 2, 2))
    taken, known = np.zeros(len(points), np.bool_), np.zeros((_SIDE, _SIDE), np.bool_)
    cells[0, :], blobs[0], steps[0] = 0, seed, first
    taken[seed] = known[_AWAY, _AWAY] = True
    count, at = 1, 0
    while at < count:
        here = blobs[at]
        for side in range(4):
            dc, dr = (side == 0) - (side == 1), (side == 2) - (side == 3)
            column, row = cells[at, 0] + dc, cells[at, 1] + dr
            if max(abs(column), abs(row)) > _AWAY or known[row + _AWAY, column + _AWAY]:
                continue
            x = dc * steps[at, 0, 0] + dr * steps[at, 1, 0]
            y = dc * steps[at, 0, 1] + dr * steps[at, 1, 1]
            best, least = _nearest(points, points[here, 0] + x, points[here, 1] + y)
            if taken[best] or least > REACH * math.hypot(x, y):
                continue
            off_x = points[best, 0] - points[here, 0] - x
            off_y = points[best, 1] - points[here, 1] - y
            # Perspective changes the steps slowly: follow what is found, half way.
            steps[count, 0, 0] = steps[at, 0, 0] + 0.5 * dc * off_x
            steps[count, 0, 1] = steps[at, 0, 1] + 0.5 * dc * off_y
            steps[count, 1, 0] = steps[at, 1, 0] + 0.5 * dr * off_x
            steps[count, 1, 1] = steps[at, 1, 1] + 0.5 * dr * off_y
            cells[count, 0], cells[count, 1], blobs[count] = column, row, best
            taken[best] = known[row + _AWAY, column + _AWAY] = True
            count += 1
        at += 1
    return count


@numba.njit(cache=True, nogil=True)
def _nearest(points: FloatArray, x: float, y: float) -> tuple[int, float]:
    """The point nearest to a place, the first of several, and how far it is."""
    best, least = 0, math.inf
    for n in range(len(points)):
        far = math.hypot(points[n, 0] - x, points[n, 1] - y)
        if far < least:
            best, least = n, far
    return best, least


def _fitted(points: FloatArray, cells: dict[Cell, int]) -> Grid | None:
    """The grid's map by least squares, without the blobs that lie off it."""
    for _ in range(3):
        if len(cells) < FEWEST:
            return None
        grid = np.array(list(cells), dtype=np.float64)
        if min(np.ptp(grid[:, 0]), np.ptp(grid[:, 1])) < 2:
            return None
        seen = points[list(cells.values())]
        matrix = homography(grid, seen)
        off = np.hypot(*(project(matrix, grid) - seen).T)
        pitch = float(np.median(np.hypot(*(project(matrix, grid + np.array([1.0, 0.0])) - seen).T)))
        keep = off < 0.12 * pitch
        if keep.all():
            return Grid(cells, matrix)
        cells = {c: n for (c, n), good in zip(cells.items(), keep, strict=True) if good}
    return None


def find_grids(blobs: list[Blob]) -> list[Grid]:
    """Grids among the blobs, the fullest first; none where no nine stand in one.

    The largest blobs are tried first and only so many, so that a picture full of small squares
    costs no more than another.

    Parameters
    ----------
    blobs:
        From `flat_blobs`.

    Returns
    -------
    list[Grid]
        Of `FEWEST` to `MOST_CELLS` patches each.

    Examples
    --------
    >>> places = [(12.0 * column, 12.0 * row) for row in range(4) for column in range(6)]
    >>> blobs = [Blob(*place, area=64.0) for place in places]
    >>> [len(grid.cells) for grid in find_grids(blobs)], find_grids(blobs[:8])  # nine are needed
    ([24], [])
    """
    return whole(find_grids_in_steps(blobs))


def find_grids_in_steps(blobs: list[Blob]) -> Steps[list[Grid]]:
    """The same in steps, one for each blob that a grid is grown from.

    Parameters
    ----------
    blobs:
        As of `find_grids`.

    Returns
    -------
    Steps[list[Grid]]
        Which return what `find_grids` does.

    Examples
    --------
    >>> places = [(12.0 * column, 12.0 * row) for row in range(4) for column in range(6)]
    >>> len(list(find_grids_in_steps([Blob(*place, area=64.0) for place in places])))  # one did
    1
    """
    if len(blobs) < FEWEST:
        return []
    points = np.array([(b.column, b.row) for b in blobs])
    areas = np.array([b.area for b in blobs])
    grids: list[Grid] = []
    used: set[int] = set()
    for seed in np.argsort(-areas)[:_MOST_SEEDS].tolist():
        if seed in used:
            continue
        best: dict[Cell, int] = {}
        for right, down in _bases(_links(points, areas, seed)):
            grown = _grown(points, seed, right, down)
            if len(grown) > len(best):
                best = grown
            if len(best) >= ENOUGH:
                break
        used |= set(best.values()) if len(best) > MOST_CELLS else set()
        grid = _fitted(points, best) if FEWEST <= len(best) <= MOST_CELLS else None
        if grid is not None:
            grids.append(grid)
            used |= set(grid.cells.values())
        yield
    return sorted(grids, key=lambda grid: -len(grid.cells))
