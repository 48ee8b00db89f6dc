"""Grids among blobs."""

import numpy as np
import pytest

from overlays.measure.chart.blobs import Blob
from overlays.measure.chart.grid import find_grids
from overlays.measure.chart.place import project

GRID = np.array([[c, r] for r in range(4) for c in range(6)], dtype=float)


def blobs_of(matrix, missing=(), extra=0, wobble=0.0, seed=1):
    rng = np.random.default_rng(seed)
    points = project(matrix, GRID) + rng.normal(0.0, wobble, (24, 2))
    kept = [Blob(float(x), float(y), 400.0) for n, (x, y) in enumerate(points) if n not in missing]
    stray = [
        Blob(float(x), float(y), float(a))
        for x, y, a in zip(
            rng.uniform(0, 480, extra),
            rng.uniform(0, 270, extra),
            rng.uniform(50, 900, extra),
            strict=True,
        )
    ]
    return kept + stray


@pytest.mark.parametrize("degrees", [0.0, 20.0, 45.0, 90.0, 170.0])
def test_a_whole_grid_is_found_among_strays(degrees):
    angle = np.radians(degrees)
    matrix = np.array(
        [
            [26 * np.cos(angle), -26 * np.sin(angle), 240.0],
            [26 * np.sin(angle), 26 * np.cos(angle), 135.0],
            [0.004, 0.002, 1.0],
        ]
    )
    grid = find_grids(blobs_of(matrix, extra=40, wobble=0.4))[0]
    assert len(grid.cells) >= 23
    cells = np.array(list(grid.cells), dtype=float)
    seen = project(grid.matrix, cells)
    true = project(matrix, GRID)
    near = np.array([np.hypot(*(true - p).T).min() for p in seen])
    assert np.quantile(near, 0.9) < 1.0


def test_a_grid_with_holes_is_found():
    matrix = np.array([[26.0, 2.0, 200.0], [-2.0, 26.0, 90.0], [0.0, 0.0, 1.0]])
    grid = find_grids(blobs_of(matrix, missing=(3, 8, 15, 23, 22, 0)))[0]
    assert len(grid.cells) == 18


def test_strays_alone_make_at_most_a_scrap_and_few_blobs_none():
    # What stands in a grid by chance has no chart's colours; that is looked at afterwards.
    for seed in range(5):
        strays = blobs_of(np.eye(3), missing=range(24), extra=60, seed=seed)
        assert all(len(grid.cells) < 13 for grid in find_grids(strays))
    assert find_grids(blobs_of(np.eye(3), missing=range(24), extra=8)) == []
    assert find_grids([]) == []


def test_a_tiled_wall_is_none():
    wall = [Blob(10.0 + 20.0 * c, 10.0 + 20.0 * r, 300.0) for r in range(13) for c in range(24)]
    assert find_grids(wall) == []


@pytest.mark.parametrize("largest", [0, 5, 18, 23, 20, 9])
def test_the_grid_is_square_whichever_patch_it_starts_from(largest):
    matrix = np.array([[21.5, 0.0, 100.0], [0.0, 20.5, 80.0], [0.0, 0.0, 1.0]])
    blobs = blobs_of(matrix)
    blobs[largest] = Blob(blobs[largest].column, blobs[largest].row, 450.0)
    cells = np.array(list(find_grids(blobs)[0].cells))
    assert sorted(np.ptp(cells, axis=0)) == [3, 5]


@pytest.mark.parametrize("largest", [0, 9, 17])
def test_it_is_square_with_few_patches_too_where_a_skewed_one_holds_as_many(largest):
    matrix = np.array([[21.5, 0.0, 100.0], [0.0, 20.5, 80.0], [0.0, 0.0, 1.0]])
    blobs = blobs_of(matrix, missing=(0, 6, 12, 18, 5, 23))
    blobs[largest] = Blob(blobs[largest].column, blobs[largest].row, 450.0)
    grid = find_grids(blobs)[0]
    assert len(grid.cells) == 18
    across, down = (project(grid.matrix, np.array([way])) for way in ([1.0, 0.0], [0.0, 1.0]))
    start = project(grid.matrix, np.zeros((1, 2)))
    assert abs(float(((across - start) * (down - start)).sum())) < 1.0  # at right angles


def test_three_by_three_are_enough_and_eight_are_not():
    nine = [Blob(50.0 + 20.0 * c, 40.0 + 20.0 * r, 400.0) for r in range(3) for c in range(3)]
    (grid,) = find_grids(nine)
    assert len(grid.cells) == 9
    assert find_grids(nine[:-1]) == []
