"""Averaging against simulation: six deviations of what is compared fit into the tolerance."""

from statistics import NormalDist

import numpy as np
import pytest

from overlays.measure.watch.averaging import (
    MOST_READINGS,
    SIGMAS,
    Averaging,
    _mean_square,
    lasting_noise,
)

ALLOWED = np.array([0.1, 0.1, 0.1])


def noisy(sigma, count=2000, seed=0):
    return np.random.default_rng(seed).normal(0.0, sigma, (count, 3))


@pytest.mark.parametrize("sigma", [0.01, 0.03, 0.06])
def test_enough_is_averaged(sigma):
    averaging = Averaging(ALLOWED)
    averaging.measure(noisy(sigma))
    means = noisy(sigma, averaging.averaged * 4000, 1)[:, 0].reshape(4000, -1).mean(axis=1)
    assert SIGMAS * means.std() <= 1.02 * ALLOWED[0]
    window = averaging.window(25.0)
    medians = np.median(noisy(sigma, window * 2000, 2)[:, 0].reshape(2000, -1), axis=1)
    assert SIGMAS * medians.std() <= 0.6 * ALLOWED[0]


@pytest.mark.parametrize("sigma", [0.03, 0.05, 0.06])
def test_a_window_is_as_long_as_the_error_of_two_medians_asks_for_and_no_longer(sigma):
    # The standard error of a median of n normal readings is sqrt(pi / 2 n) of their deviation
    # (asymptotic; any textbook of statistics); two are compared, and six of it must fit.
    averaging = Averaging(ALLOWED)
    averaging.measure(noisy(sigma, 20_000))
    wanted = (2.0 * np.sqrt(np.pi / 2.0) * SIGMAS * sigma / ALLOWED[0]) ** 2
    assert averaging.window(1.0) == pytest.approx(wanted, rel=0.06)


def test_a_quiet_feed_needs_none():
    averaging = Averaging(ALLOWED)
    averaging.measure(np.zeros((100, 3)))
    assert averaging.averaged == 1
    assert averaging.window(25.0) == 50


def test_a_drift_is_no_noise():
    averaging = Averaging(ALLOWED)
    averaging.measure(np.linspace(0.0, 1.0, 1000)[:, None] * np.ones(3))
    assert averaging.averaged == 1


def test_rounded_readings_that_seldom_differ():
    averaging = Averaging(ALLOWED)
    averaging.measure(np.round(noisy(0.03) * 12.0) / 12.0)
    assert averaging.averaged >= 3


def test_too_much_noise_is_said_to_be_so():
    averaging = Averaging(ALLOWED)
    averaging.measure(noisy(0.4))
    assert averaging.is_too_great
    assert averaging.averaged <= MOST_READINGS


def autoregressive(share, count, seed):
    """Noise of deviation 1 of which each reading keeps a share of the one before."""
    dice, out = np.random.default_rng(seed), np.empty(count)
    out[0] = dice.normal()
    for n in range(1, count):
        out[n] = share * out[n - 1] + np.sqrt(1.0 - share**2) * dice.normal()
    return out


@pytest.mark.parametrize("count", [50, 125, 750])
def test_free_noise_is_hardly_ever_taken_for_noise_that_lasts(count):
    dice = np.random.default_rng(1)
    found = [lasting_noise(dice.normal(size=count)) for _ in range(400)]
    assert np.mean(np.array(found) > 1.0) < 0.05


@pytest.mark.parametrize(("share", "within"), [(0.5, 0.2), (0.7, 0.2), (0.8, 0.2), (0.9, 0.35)])
def test_noise_that_lasts_is_known_by_how_much(share, within):
    # Mean of n readings against their steps: textbook, variance of an AR(1) mean.
    truth = np.sqrt(1.0 + share) / (1.0 - share)
    found = [lasting_noise(autoregressive(share, 750, seed)) for seed in range(60)]
    assert np.median(found) == pytest.approx(truth, rel=within)


@pytest.mark.parametrize(
    "values",
    [
        np.zeros(100),
        np.linspace(0.0, 5.0, 200),
        np.sin(np.arange(300) / 20.0),
        np.where(np.arange(300) < 150, 0.0, 3.0) + np.random.default_rng(2).normal(0, 0.1, 300),
        np.ones(20),
    ],
)
def test_what_moves_otherwise_is_not_noise_that_lasts(values):
    assert lasting_noise(values) == 1.0


@pytest.mark.parametrize("wild", [1, 3])
def test_a_few_wild_steps_count_as_four_deviations(wild):
    # Of a normal distribution, by its own quantiles: the deviation is 1 whatever stands out.
    count = 200
    steps = np.array([NormalDist().inv_cdf((n + 0.5) / count) for n in range(count)])
    assert _mean_square(steps) == pytest.approx(np.mean(steps**2), rel=1e-3)
    found = _mean_square(np.concatenate([steps, [1e3] * wild]))
    assert found == pytest.approx((np.sum(steps**2) + 16.0 * wild) / (count + wild), rel=0.02)
