"""What scatters in a spot, against plain NumPy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.spot import scatter_kernels


def test_scatter_of_a_ramp_has_no_interaction():
    samples = np.add.outer(np.arange(32) * 3, np.arange(24) * 5)
    crossed, variance, quarters, within = scatter_kernels.scatter(samples)
    assert crossed == pytest.approx(0.0, abs=1e-9)
    assert variance == pytest.approx(samples.var())
    assert quarters > 0.7 * variance
    assert within > 0.0


@pytest.mark.parametrize("shape", [(1, 40), (40, 1), (1, 1)])
def test_a_single_row_or_column_has_no_scatter_beside_itself(shape):
    samples = np.arange(np.prod(shape)).reshape(shape)
    assert scatter_kernels.scatter(samples) == (0.0, 0.0, 0.0, 0.0)


@settings(max_examples=20, deadline=None)
@given(rows=st.integers(8, 40), columns=st.integers(8, 40), seed=st.integers(0, 99))
def test_tiles_are_whole_ones_from_the_first_on(rows, columns, seed):
    samples = np.random.default_rng(seed).integers(0, 9, (rows, columns))
    mean, spread, share = scatter_kernels.tile_variances(samples, 8, 7.0)
    whole = samples[: rows // 8 * 8, : columns // 8 * 8]
    tiles = whole.reshape(rows // 8, 8, columns // 8, 8).swapaxes(1, 2).reshape(-1, 64)
    variances = tiles.var(axis=1, ddof=1)
    assert mean == pytest.approx(variances.mean())
    expected = variances.var(ddof=1) if variances.size > 1 else variances[0] ** 2
    assert spread == pytest.approx(expected, abs=1e-9)
    assert share == pytest.approx((variances >= 7.0).mean())


def test_an_area_without_a_whole_tile_is_one():
    samples = np.array([[3, 4, 5], [3, 4, 6]])
    mean, spread, share = scatter_kernels.tile_variances(samples, 8, 0.05)
    assert mean == pytest.approx(samples.var(ddof=1))
    assert (spread, share) == (pytest.approx(mean**2), 1.0)
    assert scatter_kernels.tile_variances(np.array([[7]]), 8, 0.05) == (0.0, 0.0, 0.0)
