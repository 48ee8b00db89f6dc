"""What rounding leaves in a mean, against simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as drawn

from overlays.measure.spot.quantiser import codec_bound, left_by_codec
from overlays.measure.spot.rounding import (
    lies_apart,
    rounded_again,
    rounding_amplitude,
    rounding_bound,
)


def flat(level, sigma, rng, edge=48):
    return np.rint(level + rng.normal(0.0, sigma, (edge, edge))).astype(np.int64)


@pytest.mark.parametrize("sigma", [0.0, 0.1, 0.2, 0.3, 0.5])
def test_covers_what_rounding_leaves(sigma):
    rng = np.random.default_rng(int(10 * sigma))
    misses = []
    for _ in range(200):
        level = 100.0 + rng.uniform()
        samples = flat(level, sigma, rng)
        bound, _ = rounding_bound(samples, samples.size)
        spread = 1.96 * float(samples.std()) / 48.0
        misses.append(abs(float(samples.mean()) - level) - bound - spread)
    assert np.mean(np.array(misses) <= 0.0) >= 0.95


def test_a_codec_may_hide_that_nothing_was_dithered():
    rng = np.random.default_rng(1)
    noisy = flat(100.3, 1.0, rng)
    left = left_by_codec(noisy)
    bound, sigma = rounding_bound(noisy, noisy.size, left)
    assert sigma == pytest.approx(1.04, abs=0.1)
    dithered = rounding_amplitude(0.4 * sigma)
    assert bound == pytest.approx(
        np.hypot(dithered, codec_bound(left, noisy.size, 1.0, 1.0, sigma**2))
    )
    assert bound >= dithered > 0.005
    assert rounding_bound(noisy, noisy.size)[0] < 0.001
    smooth = np.full((48, 48), 100)
    smooth[::16] = 101
    assert rounding_bound(smooth, smooth.size, left_by_codec(smooth))[0] > 0.3


def test_levels_side_by_side_do_not_dither_each_other():
    halves = np.full((48, 48), 100)
    halves[:, 24:] = 101
    assert rounding_bound(halves, halves.size)[0] == 0.5
    bands = np.full((48, 48), 100)
    bands[:, 30:] = 101
    assert rounding_bound(bands, bands.size)[0] > 0.3
    mixed = np.indices((48, 48)).sum(axis=0) % 2 * 40 + 100
    assert rounding_bound(mixed, mixed.size)[0] > 0.3


def test_correlated_samples_tell_less_of_the_threshold():
    rng = np.random.default_rng(3)
    samples = flat(100.4, 0.1, rng)
    free = rounding_bound(samples, 2304.0)[0]
    tied = rounding_bound(samples, 40.0)[0]
    assert free < tied <= 0.5


def test_a_ramp_lies_apart_and_noise_does_not():
    # Of the variance of a ramp, 1/12, three quarters lie between its halves: two levels 1/2 apart
    # have 1/16.
    ramp = np.add.outer(np.arange(64), np.zeros(64, np.int64))
    assert lies_apart(ramp)
    assert lies_apart(np.ascontiguousarray(ramp.T))
    noise = np.random.default_rng(4).integers(0, 64, (64, 64))
    assert not lies_apart(noise)
    # Where half of the variance is noise, it does not either: 3/8 are left.
    assert not lies_apart(ramp + noise)


def test_what_was_rounded_again_is_off_by_half_a_code_of_one_and_less_of_many():
    assert rounded_again(np.full((8, 8), 300)) == 0.5
    many = rounded_again(np.arange(300, 364).reshape(8, 8))
    assert many == pytest.approx(0.5 / np.sqrt(32.0))
    # 219 levels on 255, as a stretched link has them: off by the rounding, code by code
    link = np.random.default_rng(1).normal(120.0, 2.0, (64, 64)).round()
    exact = (link - 16.0) * 255.0 / 219.0
    codes = exact.round().astype(np.int64)
    assert abs(float((codes - exact).mean())) <= rounded_again(codes)


@pytest.mark.parametrize("crossed", [0.05, 0.25])
def test_a_gap_between_the_codes_that_count_is_no_noise(crossed):
    """Found in a damaged file: two levels, an empty code between them, and rare codes around."""
    codes = [0, 1, *[2] * 500, *[4] * 500, 5, 6]
    samples = np.array(codes, np.int64).reshape(-1, 4)
    np.random.default_rng(4).shuffle(samples.reshape(-1))
    bound, sigma = rounding_bound(samples, samples.size, shape=(crossed, 0.5, 0.0, crossed))
    assert 0.25 <= bound <= 0.5
    assert sigma > 0.0


SHAPES = st.tuples(st.integers(2, 9), st.integers(2, 9))


@given(
    drawn.arrays(np.int64, SHAPES, elements=st.sampled_from([0, 1, 2, 4, 7, 60])), st.floats(1, 81)
)
def test_any_samples_have_a_bound(samples, independent):
    bound, sigma = rounding_bound(samples, independent)
    assert 0.0 <= bound <= 0.5
    assert 0.0 <= sigma < 100.0
