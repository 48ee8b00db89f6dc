"""Half widths of what was chosen, against tables and against chance itself."""

import math
from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.pins.pins_doubt import (
    cell_doubt,
    difference_pm,
    key_over_fill,
    spread_pm,
    widened_for,
    within_pm,
)
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.steady import SteadySpot
from overlays.signal.published import published_curve
from tests.colour_frames import card, frame_of


@pytest.mark.parametrize(("of", "studentised"), [(2, 2.77), (3, 3.31), (10, 4.47), (20, 5.01)])
def test_the_range_of_many_is_that_of_the_tables(of, studentised):
    # 95 % points of the studentised range for known deviation (Harter, Annals of Mathematical
    # Statistics 31, 1960): the widest difference of so many, in deviations of one.
    noise = np.full(of, 1.959964)
    found = spread_pm(noise, np.zeros(of), (0, 1))
    assert found == pytest.approx(studentised, rel=0.04)
    assert found >= studentised - 0.005


@pytest.mark.parametrize("cells", [2, 12, 144])
def test_the_extremes_of_normal_noise_lie_within_the_half_widths(cells):
    drawn = np.random.default_rng(2).normal(0.0, 1.0, (4000, cells))
    noise, none, light = np.full(cells, 1.959964), np.zeros(cells), np.ones(cells)
    spread = np.ptp(drawn, axis=1) <= spread_pm(noise, none, (0, 1))
    off = np.abs(drawn - drawn.mean(axis=1, keepdims=True)).max(axis=1)
    assert 0.945 <= spread.mean() <= 0.97
    assert (off <= within_pm(noise, none, light, 0)).mean() >= 0.945


def test_one_that_was_not_chosen_is_not_widened():
    assert widened_for(1) == pytest.approx(1.0)


def test_a_cell_that_shows_no_noise_has_that_of_the_others():
    noise = np.full(9, 0.03)
    noise[0] = 0.0
    shared = math.sqrt(float((noise**2).mean()))
    expected = widened_for(36) * math.hypot(shared, 0.03)
    assert spread_pm(noise, np.zeros(9), (0, 1)) == pytest.approx(expected)


def spot_of(bits, noise, light=0.18, seed=1):
    frame = frame_of(card([light] * 3, 32, 32), "V-Log", bits, noise, seed)
    yard = yardstick(frame.signal, published_curve("V-Log"))
    return read_spot(frame, yard, SpotPlace(16, 16, 24)), yard


def test_what_is_rounding_and_what_is_noise():
    still, yard = spot_of(8, 0.0)
    noise, bound = cell_doubt(still, yard.weights)
    assert noise == 0.0
    assert bound == pytest.approx(still.stops_pm)
    noisy, yard = spot_of(10, 3.0)
    noise, bound = cell_doubt(noisy, yard.weights)
    # Noise dithers rounding away; what is left is which side of the curve it was added on.
    assert noise + bound == pytest.approx(noisy.stops_pm, rel=1e-6)
    assert 0.0 < bound < 0.3 * noise
    assert cell_doubt(replace(noisy, stops_pm=None), yard.weights) == (math.inf, math.inf)


def test_of_two_pins_rounding_adds_by_its_bounds_and_noise_in_squares():
    still = replace(spot_of(8, 0.0)[0], stops_pm=0.02)
    assert difference_pm(still, still) == pytest.approx(1.959964 * 0.02 * math.sqrt(2.0 / 3.0))
    small = replace(still, stops_pm=0.001)
    assert difference_pm(still, small) == pytest.approx(0.021)  # never more than both in full
    noisy = replace(still, stops_noise=0.02)
    assert difference_pm(noisy, noisy) == pytest.approx(0.02 * math.sqrt(2.0))
    assert difference_pm(still, replace(still, stops_pm=None)) is None


def test_frames_tell_how_much_is_noise():
    reading, yard = spot_of(10, 3.0)
    steady = SteadySpot(yard)
    for seed in range(12):
        reading = steady.add(spot_of(10, 3.0, seed=seed)[0])
    assert reading.errors.seen is not None
    assert 0.7 * reading.stops_pm < reading.stops_noise < reading.stops_pm


@pytest.mark.parametrize("stops", [0.1, 0.5, 1.0, 3.0, 9.0])
@pytest.mark.parametrize("pm", [0.001, 0.02, 0.2])
def test_the_truth_within_the_half_width_is_no_key_that_lies_half_a_stop_off(stops, pm):
    key = key_over_fill(stops, pm, is_bound=False)
    ends = [2.0 ** (stops + way * pm) - 1.0 for way in (-1.0, 1.0)]
    if key is None:
        assert ends[0] <= 0.0 or math.log2(ends[1] / ends[0]) > 0.5
    else:
        assert key == pytest.approx(math.log2(2.0**stops - 1.0))
        assert all(abs(math.log2(end) - key) <= 0.5 for end in ends)
