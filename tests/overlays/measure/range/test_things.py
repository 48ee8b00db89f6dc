"""What is a thing and what is a speck."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.range.things import highest_window, reached, speck_pixels

STEPS = (0.02, 0.25)


def flat(rows=270, columns=480):
    return np.full((rows, columns), -5.0, np.float32)


def window(values, speck=415.0):
    row, column, edge = highest_window(values, 16, speck, STEPS)
    return float(values[row : row + edge, column : column + edge].mean()), edge


def test_a_square_fills_a_window_of_the_size_that_matters():
    values = flat()
    values[40:60, 70:90] = -1.0
    assert window(values) == (pytest.approx(-1.0), 6)


def test_a_tube_one_tile_thick_is_a_thing():
    values = flat()
    values[40, 70:270] = -1.0
    assert window(values) == (pytest.approx(-1.0), 1)


def test_small_things_that_are_alike_are_one():
    values = flat()
    values[::20, ::30] = -1.0  # 224 tiles
    assert window(values)[0] == pytest.approx(-1.0)


def test_too_few_tiles_are_specks():
    values = flat()
    values[100:150, 100:150] = -2.0
    values[10, 10:30] = 0.0  # 20 tiles of 16 pixels: 320 of 415
    assert window(values)[0] == pytest.approx(-2.0)


@pytest.mark.parametrize("seed", range(3))
def test_noise_does_not_choose_the_highest_window(seed):
    noise = np.random.default_rng(seed).normal(0.0, 0.03, (270, 480)).astype(np.float32)
    found, edge = window(flat() + noise)
    assert edge == 6
    assert found == pytest.approx(-5.0, abs=0.015)  # the highest of all windows reads 0.023


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 99), count=st.integers(1, 200))
def test_what_as_many_tiles_reach_is_the_order_statistic(seed, count):
    values = np.random.default_rng(seed).normal(0.0, 1.0, (10, 20)).astype(np.float32)
    exact = float(np.sort(values, axis=None)[-count])
    assert reached(values, count) == pytest.approx(exact, abs=float(np.ptp(values)) / 4095 + 1e-6)


def test_an_even_field_is_reached_everywhere():
    assert reached(flat(), 5) == -5.0


def test_a_speck_is_a_share_of_the_picture_but_at_least_a_pixel():
    assert speck_pixels(1920 * 1080, 0.02) == pytest.approx(414.72)
    assert speck_pixels(4, 0.02) == 1.0


@pytest.mark.parametrize("seed", range(6))
def test_of_several_windows_the_typical_one_is_told_by_all_of_its_tiles(seed):
    """By nothing that lies beside it: of five of them the fourth is at three quarters."""
    dice, values, places = np.random.default_rng(seed), flat(), range(20, 120, 20)
    for at in places:
        values[at : at + 6, 3 * at : 3 * at + 6] = dice.uniform(-1.01, -0.99, (6, 6))
    means = sorted(float(values[at : at + 6, 3 * at : 3 * at + 6].mean()) for at in places)
    assert window(values) == (pytest.approx(means[3]), 6)
