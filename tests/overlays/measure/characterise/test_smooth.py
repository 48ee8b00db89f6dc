"""Smooth values through steps of published curves, with noise that is known."""

import numpy as np
import pytest

from overlays.measure.characterise.smooth import _root_of_inverse, smooth
from overlays.signal.published import published_curve, published_curves

STOPS = np.arange(-8.0, 4.0, 1.0 / 3.0)
CODE = 1.0 / 255.75


def values_of(curve):
    found = published_curve(curve)
    return np.asarray(found.stops_to_value(STOPS)), float(found.encode(0.0))


@pytest.mark.parametrize("curve", [each.name for each in published_curves()])
def test_exact_steps_are_hardly_moved(curve):
    values, black = values_of(curve)
    found = smooth(STOPS, values, np.full(len(STOPS), 0.02 * CODE), (black, 0.02 * CODE), CODE)
    assert np.abs(found.values - values).max() < 0.02 * CODE
    assert found.black == pytest.approx(black, abs=0.02 * CODE)


@pytest.mark.parametrize("curve", ["V-Log", "S-Log3", "BT.709", "HLG", "PQ"])
def test_noise_is_taken_out_in_the_dark_and_its_half_widths_hold(curve):
    rng = np.random.default_rng(5)
    values, black = values_of(curve)
    slope = np.gradient(values, STOPS)
    half = np.full(len(STOPS), 0.1 * CODE)
    before, after, held = [], [], []
    for _ in range(20):
        read = values + rng.normal(0.0, half / 1.96)
        found = smooth(STOPS, read, half, (black, 0.1 * CODE), CODE)
        off = np.abs(found.values - values) / slope
        held.append(off <= found.pm_stops)
        before.append((np.abs(read - values) / slope)[:9])
        after.append(off[:9])
    assert np.mean(held) >= 0.95
    assert np.mean(after) < 0.75 * np.mean(before)


def test_steps_in_disorder_in_the_dark_come_out_rising():
    values, black = values_of("BT.709")
    rng = np.random.default_rng(6)
    read = values + rng.normal(0.0, 0.15 * CODE, len(STOPS))
    assert np.diff(read).min() < 0.0
    found = smooth(STOPS, read, np.full(len(STOPS), 0.3 * CODE), (black, 0.05 * CODE), CODE)
    assert np.diff(found.values).min() > 0.0


def test_the_slope_is_less_sure_than_the_level_where_that_is_sure():
    values, black = values_of("V-Log")
    found = smooth(STOPS, values, np.full(len(STOPS), 0.1 * CODE), (black, 0.1 * CODE), CODE)
    assert (found.slope_pm_stops > found.pm_stops)[found.pm_stops < 0.05].all()
    assert np.isfinite(found.slope_pm_stops).all()


def test_the_root_of_an_inverse_is_one_and_of_what_is_not_told_it_is_large():
    rng = np.random.default_rng(3)
    told = rng.normal(size=(6, 6)) * 10.0 ** np.arange(-4, 2)  # as unalike as black and steps
    normal = told.T @ told
    root = _root_of_inverse(normal)
    assert root @ root.T @ normal == pytest.approx(np.eye(6), abs=1e-6)
    twice = np.array([[1.0, 1.0], [1.0, 1.0]])  # only their sum is told
    variances = (_root_of_inverse(twice) ** 2).sum(axis=1)
    assert variances.min() > 1e12
    assert np.isfinite(variances).all()
