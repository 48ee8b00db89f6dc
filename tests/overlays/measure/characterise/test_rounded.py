"""Level and noise behind rounded codes, on samples whose truth is known."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.rounded import AROUND, behind, code_step, taken_back
from overlays.measure.feedcheck.readings import CodeReading, Tally

SAMPLES = 2304
ROUNDED = 12.0**-0.5


def tally(level, noise, rng, lowest=0, step=1):
    codes = np.maximum(np.rint(level + rng.normal(0.0, noise, SAMPLES)), lowest).astype(int)
    first = int(codes.min())
    counts = np.zeros(step * (int(codes.max()) - first) + 1, int)
    counts[::step] = np.bincount(codes - first)
    return Tally(step * first, tuple(map(int, counts)), float(SAMPLES))


@pytest.mark.parametrize("noise", [0.0, 0.05, 0.12, 0.2, 0.3, 0.45])
def test_levels_and_noise_lie_within_what_is_said(noise):
    rng = np.random.default_rng(3)
    levels = np.sort(rng.uniform(20.0, 40.0, 200))
    found = behind([tally(level, noise, rng) for level in levels], 1)
    inside = [abs(f.code - level) <= f.code_pm for f, level in zip(found, levels, strict=True)]
    assert np.mean(inside) >= 0.95
    true = np.hypot(noise, ROUNDED)
    assert np.mean([f.noise_low <= true <= f.noise_high * 1.0001 for f in found]) >= 0.95
    # Rounding is most of it: little noise is known well even where one code alone occurs.
    assert max(f.noise_high / f.noise_low for f in found) < 1.4


def test_it_says_more_than_the_mean_of_the_codes_and_never_more_than_they_hold():
    """At 0.2 codes a mean may be 0.15 off by rounding alone (uncertainty: Widrow & Kollar)."""
    rng = np.random.default_rng(4)
    levels = np.arange(20.0, 40.0, 0.37)
    some = behind([tally(level, 0.2, rng) for level in levels], 1)
    assert np.median([f.code_pm for f in some]) < 0.06
    none = behind([tally(level, 0.0, rng) for level in levels], 1)
    assert min(f.code_pm for f in none) >= 0.48
    assert max(f.code_pm for f in none) <= 0.53


def test_noise_that_dithers_is_left_to_the_mean():
    rng = np.random.default_rng(5)
    readings = [CodeReading(50.0, 0.1, 1.5, tally=tally(50.0, 1.5, rng)) for _ in range(AROUND)]
    assert behind([each.tally for each in readings], 1) == [None] * AROUND
    assert taken_back(readings, 1) == readings
    assert taken_back([CodeReading(50.0, 0.1)], 1) == [CodeReading(50.0, 0.1)]


def test_steps_of_four_codes_are_found_and_told_in_codes():
    rng = np.random.default_rng(6)
    levels = np.sort(rng.uniform(20.0, 40.0, 60))
    tallies = [tally(level, 0.2, rng, step=4) for level in levels]
    assert code_step(tallies) == 4
    found = behind(tallies, 4)
    inside = [abs(f.code - 4.0 * x) <= f.code_pm for f, x in zip(found, levels, strict=True)]
    assert np.mean(inside) >= 0.95
    assert found[0].noise == pytest.approx(4.0 * np.hypot(0.2, ROUNDED), rel=0.1)


def test_steps_that_differ_in_their_noise_are_told_less_surely():
    rng = np.random.default_rng(7)
    levels = np.sort(rng.uniform(20.0, 40.0, 60))
    even = behind([tally(x, 0.25, rng) for x in levels], 1)
    mixed = behind([tally(x, (0.15, 0.35)[n % 2], rng) for n, x in enumerate(levels)], 1)
    assert np.median([f.code_pm for f in mixed]) > 1.3 * np.median([f.code_pm for f in even])
    inside = [abs(f.code - x) <= f.code_pm for f, x in zip(mixed, levels, strict=True)]
    assert np.mean(inside) >= 0.95


def likely(counted, levels, sigmas):
    """(levels, sigmas) logarithms of how likely a tally's counts are, by the standard library."""
    below = np.vectorize(NormalDist().cdf)
    edges = counted.first - 0.5 + np.arange(len(counted.counts) + 1)
    shares = np.diff([below((edge - levels[:, None]) / sigmas) for edge in edges], axis=0)
    return np.tensordot(counted.counts, np.log(np.maximum(shares, 1e-12)), 1)


def test_by_how_much_less_surely_is_their_deviance_over_its_degrees_of_freedom():
    """McCullagh & Nelder, Generalized Linear Models, 1989, 9.2, worked out here."""
    rng = np.random.default_rng(11)
    levels = np.array([20.3, 21.45, 22.4, 23.6, 24.45])
    tallies = [tally(x, (0.15, 0.35)[n % 2], rng) for n, x in enumerate(levels)]
    sigmas = np.geomspace(0.1, 0.5, 60)
    tried = [x + np.arange(-0.5, 0.5, 0.01) for x in levels]
    logs = [likely(each, xs, sigmas) for each, xs in zip(tallies, tried, strict=True)]
    profiles = [log.max(axis=0) for log in logs]
    together = np.sum(profiles, axis=0)
    deviance = 2.0 * (sum(profile.max() for profile in profiles) - together.max())
    limit = 3.84 * deviance / (len(levels) - 1)
    assert limit > 3.0 * 3.84  # they do differ
    held = 2.0 * (together.max() - together) <= limit
    half = [
        0.5 * np.ptp(xs[(2.0 * (log.max(axis=0) - log)[:, held] <= limit).any(axis=1)])
        for xs, log in zip(tried, logs, strict=True)
    ]
    # Both are read off points that were tried, and the module takes one more at each end.
    assert sum(found.code_pm for found in behind(tallies, 1)) == pytest.approx(sum(half), rel=0.15)


def test_a_mean_that_is_surer_than_its_codes_stays_and_its_noise_is_told():
    rng = np.random.default_rng(12)
    readings = [CodeReading(30.2, 0.001, 0.4, tally=tally(30.2, 0.3, rng)) for _ in range(AROUND)]
    for found in taken_back(readings, 1):
        assert (found.code, found.code_pm) == (30.2, 0.001)
        assert found.noise == pytest.approx(np.hypot(0.3, ROUNDED), rel=0.1)


@pytest.mark.parametrize(("level", "noise"), [(4.0, 4.0), (7.0, 4.0), (1.0, 4.0), (1.2, 0.3)])
def test_what_the_lowest_code_cuts_off_is_taken_back_and_doubted(level, noise):
    rng = np.random.default_rng(8)
    seen = tally(level, noise, rng, lowest=4 if noise > 1.0 else 1)
    codes = seen.first + np.arange(len(seen.counts))
    mean = float(codes @ seen.counts / SAMPLES)
    spread = float(np.sqrt((codes - mean) ** 2 @ seen.counts / SAMPLES))
    read = CodeReading(mean, 2.0 * spread / SAMPLES**0.5, spread, tally=seen)
    (found,) = taken_back([read], 4 if noise > 1.0 else 1)
    assert abs(found.code - level) <= found.code_pm
    assert found.code_pm > read.code_pm


@given(st.integers(0, 250), st.lists(st.integers(0, 900), min_size=1, max_size=6))
def test_any_counts_make_finite_numbers(first, counts):
    counts[0] += 1
    counts[-1] += 1
    (found,) = behind([Tally(first, tuple(counts), float(sum(counts)))], 1)
    assert found is None or all(
        np.isfinite([found.code, found.code_pm, found.noise, found.noise_low, found.noise_high])
    )
