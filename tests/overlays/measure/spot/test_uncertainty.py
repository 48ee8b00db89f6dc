"""The ± against arithmetic, scipy's t and simulation."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.spot.uncertainty import (
    Held,
    PlaneError,
    combine,
    plane_error,
    rounding_amplitude,
    sampled_error,
)


@pytest.mark.parametrize(
    ("sigma", "bound", "digits"),
    # Fourier series of the rounding error, arithmetic
    [(0.0, 0.5, 1e-9), (0.2, 0.15, 0.02), (0.3, 0.054, 0.001), (0.5, 0.0023, 0.0001)],
)
def test_amplitude_of_the_rounding_error(sigma, bound, digits):
    assert rounding_amplitude(sigma) == pytest.approx(bound, abs=digits)


@settings(max_examples=30, deadline=None)
@given(sigma=st.floats(0.15, 1.0), phase=st.floats(0, 1))
def test_amplitude_bounds_the_exact_mean_of_rounded_noise(sigma, phase):
    k = np.arange(-8, 10)
    edges = (k - 0.5 - phase) / sigma
    cumulative = np.array([0.5 * (1 + math.erf(e / math.sqrt(2))) for e in edges])
    mean = float((k[:-1] * np.diff(cumulative)).sum())
    assert abs(mean - phase) <= rounding_amplitude(sigma) + 1e-6


def flat(level, sigma, seed, size=48):
    rng = np.random.default_rng(seed)
    return np.round(level + rng.normal(0, sigma, (size, size))).astype(np.uint16)


@pytest.mark.parametrize("sigma", [0.0, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.8, 2.0, 6.0])
def test_covers_the_mean_of_a_flat_patch(sigma):
    rng = np.random.default_rng(int(sigma * 100))
    inside, widths, misses = 0, [], []
    runs = 1000
    for run in range(runs):
        level = 100 + rng.uniform()
        patch = flat(level, sigma, run + 10_000 * int(sigma * 10))
        error = plane_error(patch)
        size = np.array([1.0, 0.0, 0.0])
        half = combine(size, size, [error] * 3)
        miss = abs(float(patch.mean()) - level)
        inside += miss <= half
        widths.append(half)
        misses.append(miss)
    assert inside / runs >= 0.95
    # no wider than twice what the misses themselves force
    assert np.mean(widths) <= 2.0 * np.quantile(misses, 0.95)


def test_a_single_code_leaves_half_a_code():
    assert plane_error(np.full((8, 8), 70, np.uint8)).rounding == 0.5


def test_two_codes_in_equal_shares_pin_the_threshold():
    patch = np.indices((48, 48)).sum(axis=0) % 2 + 100
    assert plane_error(patch.astype(np.uint8)).rounding < 0.05


def test_texture_is_not_noise():
    halves = np.full((48, 48), 40, np.uint8)
    halves[:, 24:] = 200
    error = plane_error(halves)
    spread = float(halves.std())
    assert error.standard < spread / 10
    assert 0.3 < error.rounding <= 0.5


def test_a_shift_is_undone():
    patch = flat(100.3, 0.7, 1)
    assert plane_error(patch << 6, 6) == plane_error(patch)


def test_one_row_has_no_neighbours_and_says_so_by_its_degrees():
    assert plane_error(np.array([[3, 4, 5]], np.uint8)).degrees == 1.0


def test_rounding_of_several_planes_adds_like_independent_errors():
    plane = PlaneError(0.0, 0.5, 0.0, 100.0)
    one = combine(np.array([1.0, 0, 0]), np.array([1.0, 0, 0]), [plane] * 3)
    three = combine(np.ones(3), np.ones(3), [plane] * 3)
    assert one == pytest.approx(0.5)
    # 97 % of the 95 % point of the sum of three even spreads on +/-0.5: arithmetic, Irwin-Hall
    assert 0.93 <= three <= 1.0


@pytest.mark.parametrize("step", [2, 4, 16])
@pytest.mark.parametrize("sigma", [0.1, 0.15, 0.2])
def test_empty_codes_between_the_two_used_widen_it_and_crash_nothing(step, sigma):
    # issue: ZeroDivisionError where 8-bit content lies in 10-bit codes, every code times four
    inside = []
    for seed in range(200):
        level = 100.0 + np.random.default_rng(seed).uniform(0.35, 0.65)
        patch = (step * flat(level, sigma, seed)).astype(np.uint16)
        size = np.array([1.0, 0.0, 0.0])
        half = combine(size, size, [plane_error(patch)] * 3)
        inside.append(abs(float(patch.mean()) - step * level) <= half)
    assert np.mean(inside) >= 0.95


@pytest.mark.parametrize("spread", [2, 3, 40])
def test_a_mean_is_never_less_sure_than_one_of_its_samples(spread):
    # However much of the noise around goes together, a sample by itself tells as much.
    samples = np.random.default_rng(spread).integers(500, 500 + spread, (16, 16))
    error = sampled_error(samples, samples, (50.0, 9.0), Held())
    assert error.standard == error.noise
    assert error.noise == pytest.approx(np.std(samples), rel=0.2)
    assert sampled_error(samples, samples, (0.01, 9.0), Held()).standard == 0.01


def test_the_noise_of_a_mean_is_that_of_white_noise():
    size, sigma = 48, 3.0
    found = [
        plane_error(np.rint(np.random.default_rng(n).normal(500, sigma, (size, size))).astype("u2"))
        for n in range(20)
    ]
    assert np.mean([each.standard for each in found]) == pytest.approx(sigma / size, rel=0.1)


def test_little_noise_that_neighbours_share_takes_less_of_the_rounding_away():
    """A mean that is less sure than its samples would make it holds fewer of them that differ."""
    codes = np.rint(np.random.default_rng(3).normal(420.3, 0.35, (16, 16))).astype(np.int64)
    alone, some, much = (
        sampled_error(codes, codes, (standard, 9.0), Held()).rounding
        for standard in (0.02, 0.1, 0.3)
    )
    assert 2.0 * alone < some
    assert some < much < 0.5
