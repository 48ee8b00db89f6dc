"""The loops behind the noise of a spot against plain NumPy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.spot import cell_kernels, noise_kernels


@settings(max_examples=20, deadline=None)
@given(rows=st.integers(4, 20), columns=st.integers(4, 20), seed=st.integers(0, 99))
def test_interactions_are_those_of_a_two_way_table(rows, columns, seed):
    cells = np.random.default_rng(seed).normal(size=(2, rows, columns))
    out, degrees = np.zeros((1, 2, 2)), np.zeros(1)
    assert noise_kernels.interactions(cells, 1, out, degrees) == 1
    left = cells - cells.mean(2, keepdims=True) - cells.mean(1, keepdims=True)
    left += cells.mean((1, 2), keepdims=True)
    expected = np.einsum("pij,qij->pq", left, left) / ((rows - 1) * (columns - 1))
    assert out[0] == pytest.approx(expected)
    assert degrees[0] == (rows - 1) * (columns - 1)


def test_larger_blocks_are_means_of_four():
    cells = np.random.default_rng(1).normal(size=(1, 12, 16))
    out, degrees = np.zeros((3, 1, 1)), np.zeros(3)
    assert noise_kernels.interactions(cells, 3, out, degrees) == 3
    alone = np.zeros((1, 1, 1))
    for level, size in enumerate((1, 2, 4)):
        means = cells[0].reshape(12 // size, size, 16 // size, size).mean((1, 3))[None]
        noise_kernels.interactions(np.ascontiguousarray(means), 1, alone, np.zeros(1))
        assert out[level, 0, 0] == pytest.approx(alone[0, 0, 0])


def carried(cells, pixels):
    covariance = np.zeros((cells.shape[0],) * 2)
    levels = 1 + int(np.log2(np.sqrt(pixels)))
    degrees = noise_kernels.carry(cells, levels, (1.0, float(pixels)), covariance)
    return covariance, degrees


def test_of_white_noise_the_smaller_blocks_count_too():
    ratios, worths = [], []
    for seed in range(40):
        cells = np.random.default_rng(seed).normal(size=(1, 32, 32))
        covariance, degrees = carried(cells, 32 * 32)
        ratios.append(covariance[0, 0] * 32 * 32)
        worths.append(degrees[0])
    assert 1.0 <= np.mean(ratios) <= 1.6  # its growth is never taken for less than none
    assert np.median(worths) > 9.0  # those of the largest blocks alone


def test_noise_that_goes_together_is_carried_on_and_shared_noise_known():
    found = []
    for seed in range(20):
        small = np.random.default_rng(seed).normal(size=(1, 16, 16)).repeat(4, 1).repeat(4, 2)
        covariance, degrees = carried(np.concatenate([small, -small]), 64 * 64)
        assert covariance[0, 1] == pytest.approx(-covariance[0, 0])
        assert (degrees < 64.0).all()
        found.append(covariance[0, 0])
    # The mean of 16 x 16 independent squares.
    assert 1.0 <= np.mean(found) * 256.0 <= 4.0


def test_of_too_few_cells_nothing_is_carried():
    covariance, degrees = carried(np.ones((1, 1, 5)), 16)
    assert not covariance.any()
    assert degrees == pytest.approx([1.0])


def test_what_is_seen_is_what_grows_and_is_carried():
    cells = np.random.default_rng(4).normal(100.0, 1.0, (3, 30, 30))
    cells[:, :, 24:] += 60.0
    cells[1] += 0.5 * cells[0]
    seed, levels, size = (10, 18, 8, 16), 4, (2.0, 256.0)
    at, standard, correlation, degrees = noise_kernels.see(cells, seed, 0.3, levels, size)
    assert tuple(at) == tuple(cell_kernels.grow(cells, seed, 0.3))
    flat = np.ascontiguousarray(cells[:, at[0] : at[1], at[2] : at[3]])
    covariance = np.zeros((3, 3))
    np.testing.assert_array_equal(noise_kernels.carry(flat, levels, size, covariance), degrees)
    np.testing.assert_array_equal(standard, np.sqrt(np.diagonal(covariance)))
    np.testing.assert_array_equal(correlation, covariance / np.outer(standard, standard))
    assert correlation[0, 1] > 0.2
