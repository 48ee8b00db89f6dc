"""Cells around a spot, and which of them look like it, against plain NumPy."""

import numpy as np
import pytest

from overlays.measure.counting.kernels import flatten
from overlays.measure.spot import cell_kernels


@pytest.mark.parametrize("sub", [(1, 1), (1, 2), (2, 2)])
@pytest.mark.parametrize("cell", [2, 4])
def test_cells_are_means_of_the_samples_that_serve_them(sub, cell):
    rng = np.random.default_rng(3)
    luma = rng.integers(0, 1024, (24, 32)).astype(np.uint16)
    chroma = [rng.integers(0, 1024, (24 // sub[0], 32 // sub[1])).astype(np.uint16) for _ in "ab"]
    out = np.empty((3, 16 // cell, 24 // cell))
    flats = tuple(flatten(plane) for plane in (luma, *chroma))
    cell_kernels.fill_cells(flats, (4, 8, cell, *sub), 0.5, out)
    for plane, found in zip((luma, *chroma), out, strict=True):
        whole = plane if plane is luma else plane.repeat(sub[0], 0).repeat(sub[1], 1)
        part = whole[4:20, 8:32].reshape(16 // cell, cell, 24 // cell, cell)
        assert found == pytest.approx(0.5 * part.mean((1, 3)))


def test_growth_stops_where_it_looks_different():
    cells = np.random.default_rng(2).normal(100.0, 1.0, (1, 40, 40))
    cells[0, :, 30:] += 50.0
    cells[0, :5] += 50.0
    at = cell_kernels.grow(cells, (16, 22, 16, 22), 0.3)
    assert tuple(at) == (5, 40, 0, 30)
