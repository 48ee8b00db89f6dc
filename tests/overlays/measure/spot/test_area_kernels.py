"""Tiles and windows of tiles against plain NumPy; the spot's loop is held by test_spot."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.kernels import flatten
from overlays.measure.spot import area_kernels


@pytest.mark.parametrize("tile", [1, 3, 5])
def test_tiles_sum_whole_squares(tile):
    plane = np.random.default_rng(3).integers(0, 256, (17, 46)).astype(np.uint8)[:, ::2]
    out = np.zeros((17 // tile, 23 // tile))
    area_kernels.sum_tiles(flatten(plane), 17, 23, tile, out)
    whole = plane[: 17 // tile * tile, : 23 // tile * tile].astype(float)
    expected = whole.reshape(17 // tile, tile, 23 // tile, tile).sum(axis=(1, 3))
    np.testing.assert_array_equal(out, expected)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 99), across=st.integers(1, 4), rows=st.integers(4, 9))
def test_orders_of_windows_by_sorting(seed, across, rows):
    tiles = np.random.default_rng(seed).integers(0, 50, (rows, 7)).astype(float)
    spare = across * across // 4
    windows = np.lib.stride_tricks.sliding_window_view(tiles, (across, across))
    ordered = np.sort(windows.reshape(-1, across * across), axis=1)
    expected = ordered[:, [0, spare, across * across - 1 - spare, -1]].T
    out = np.empty((4, *windows.shape[:2]))
    area_kernels.window_orders(tiles, (across, spare, 1), out)
    np.testing.assert_array_equal(out.reshape(4, -1), expected)
    other = np.empty((4, -(-windows.shape[0] // 2), -(-windows.shape[1] // 2)))
    area_kernels.window_orders(tiles, (across, spare, 2), other)
    np.testing.assert_array_equal(other, out[:, ::2, ::2])


def test_sums_of_a_spot_have_names_and_start_at_nothing():
    sums = area_kernels.no_sums()
    assert all(float(np.abs(total).sum()) == 0.0 for total in sums)
    assert sums.slope_products.shape == (3, 3)
    assert sums._fields[0] == "light"
