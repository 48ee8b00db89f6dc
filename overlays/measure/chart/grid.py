"""A grid of patches among the flat places of a picture."""

import math
from dataclasses import dataclass

import numpy as np

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
Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Grid:
    """Patches by (column, row) of a grid of unknown start, and the map from it to the picture."""

    cells: dict[Cell, int]
    matrix: FloatArray


def _links(points: FloatArray, areas: FloatArray, seed: int) -> list[FloatArray]:
    """Vectors from a blob to near ones of about its size, shortest first."""
    ways = points - points[seed]
    far = np.hypot(ways[:, 0], ways[:, 1])
    size = math.sqrt(float(areas[seed]))
    alike = (areas > 0.4 * areas[seed]) & (areas < 2.5 * areas[seed])
    good = np.flatnonzero(alike & (far > 0.9 * size) & (far < 3.0 * size + 6.0))
    return [ways[n] for n in good[np.argsort(far[good])][:_NEIGHBOURS]]


def _bases(links: list[FloatArray]) -> list[tuple[FloatArray, FloatArray]]:
    """Pairs of vectors that could be one step right and one step down, the shortest first.

    A skewed pair spans the same grid as the square one but is longer. A patch at the rim has
    neighbours on one side only, so the opposite vectors are tried too.
    """
    out = []
    links = [*links, *(-link for link in links)]
    for one in links:
        for two in links:
            cross = float(one[0] * two[1] - one[1] * two[0])
            lengths = float(np.hypot(*one)), float(np.hypot(*two))
            square = cross > 0.6 * lengths[0] * lengths[1]
            if square and 0.5 < lengths[0] / lengths[1] < 2.0 and one[0] >= abs(one[1]) - 1e-9:
                out.append((lengths[0] + lengths[1], one, two))
    return [(one, two) for _, one, two in sorted(out, key=lambda each: each[0])]


def _grown(
    points: FloatArray, seed: int, right: FloatArray, down: FloatArray
) -> dict[Cell, tuple[int, FloatArray, FloatArray]]:
    """Blobs that stand in a grid with the seed, each with its own step right and down."""
    found = {(0, 0): (seed, right, down)}
    taken = {seed}
    front: list[Cell] = [(0, 0)]
    while front:
        cell = front.pop(0)
        here, right, down = found[cell]
        for dc, dr in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            there = (cell[0] + dc, cell[1] + dr)
            if there in found or max(abs(there[0]), abs(there[1])) > 6:
                continue
            step = dc * right + dr * down
            away = points - (points[here] + step)
            far = np.hypot(away[:, 0], away[:, 1])
            best = int(np.argmin(far))
            if best in taken or far[best] > REACH * float(np.hypot(*step)):
                continue
            real = points[best] - points[here]
            # Perspective changes the steps slowly: follow what is found, half way.
            new_right = right + 0.5 * dc * (real - step) * (dc != 0)
            new_down = down + 0.5 * dr * (real - step) * (dr != 0)
            found[there] = (best, new_right, new_down)
            taken.add(best)
            front.append(there)
    return found


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
                best = {cell: blob for cell, (blob, _, _) in grown.items()}
            if len(best) >= ENOUGH:
                break
        used |= set(best.values()) if len(best) > MOST_CELLS else set()
        grid = _fitted(points, best) if FEWEST <= len(best) <= MOST_CELLS else None
        if grid is not None:
            grids.append(grid)
            used |= set(grid.cells.values())
        yield
    return sorted(grids, key=lambda grid: -len(grid.cells))
