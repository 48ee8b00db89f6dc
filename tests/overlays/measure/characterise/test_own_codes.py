"""Level and noise of a step by its own rounded codes, on samples whose truth is known."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.own_codes import LEAST_SHARE, own_of
from overlays.measure.feedcheck.readings import Tally

SAMPLES = 36864


def tally(samples, lowest=1):
    codes = np.maximum(np.rint(samples), lowest).astype(int)
    first = int(codes.min())
    return Tally(first, tuple(map(int, np.bincount(codes - first))), float(codes.size))


@pytest.mark.parametrize("noise", [0.35, 0.45, 0.6, 0.7])
def test_levels_and_noise_lie_within_what_is_said_and_that_is_little(noise):
    rng = np.random.default_rng(21)
    levels = rng.uniform(20.0, 40.0, 200)
    found = [own_of(tally(x + rng.normal(0.0, noise, SAMPLES)), 1) for x in levels]
    assert None not in found
    inside = [abs(f.code - x) <= f.code_pm for f, x in zip(found, levels, strict=True)]
    assert 0.92 <= np.mean(inside) <= 0.99
    true = np.hypot(noise, 12.0**-0.5)
    assert np.mean([f.noise_low <= true <= f.noise_high for f in found]) >= 0.92
    # Samples that were not rounded would say it to 1.96 s / sqrt(n); rounding takes little of that.
    assert np.median([f.code_pm for f in found]) <= 1.5 * 1.96 * noise / SAMPLES**0.5


def test_two_codes_alone_say_nothing():
    assert own_of(Tally(20, (18000, 18000), 36000.0), 1) is None
    few = int(0.5 * LEAST_SHARE * SAMPLES)
    assert own_of(Tally(20, (few, 18000, 18000), 36000.0 + few), 1) is None


def test_noise_that_is_not_normal_makes_it_less_sure():
    rng = np.random.default_rng(22)
    normal, heavy = rng.normal(0.0, 0.6, SAMPLES), 0.49 * rng.standard_t(5, SAMPLES)
    one, other = (own_of(tally(30.2 + each), 1) for each in (normal, heavy))
    assert other.code_pm > 2.0 * one.code_pm


def test_neighbours_that_share_their_noise_make_it_less_sure():
    normal = NormalDist(30.2, 0.6)
    free = tally(np.array([normal.inv_cdf((n + 0.5) / SAMPLES) for n in range(SAMPLES)]))
    shared = Tally(free.first, free.counts, SAMPLES / 4.0)
    assert own_of(shared, 1).code_pm == pytest.approx(2.0 * own_of(free, 1).code_pm)


def test_of_a_step_cut_off_at_the_lowest_code_the_whole_level_is_told():
    rng = np.random.default_rng(24)
    found = own_of(tally(1.4 + rng.normal(0.0, 0.7, SAMPLES)), 1)
    assert abs(found.code - 1.4) <= 1.5 * found.code_pm


@given(st.integers(0, 250), st.lists(st.integers(0, 40000), min_size=1, max_size=8))
def test_any_counts_make_finite_numbers_or_none(first, counts):
    counts[0] += 1
    counts[-1] += 1
    found = own_of(Tally(first, tuple(counts), float(sum(counts))), 1)
    assert found is None or np.isfinite([found.code, found.code_pm, found.noise]).all()


def test_a_sample_counts_once_at_the_most():
    counts = (100, 600, 300)
    sure, surer = (own_of(Tally(419, counts, independent), 1) for independent in (1000.0, 4000.0))
    assert sure is not None
    assert sure == surer
