"""Evenness of the light on a chart."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.chart.lit import SHADOW_STOPS, evenness

ROW, COLUMN = np.divmod(np.arange(24), 6)


def test_even_light_is_even():
    found = evenness(np.full(24, 0.7), 4, 6)
    assert found.fall_stops == pytest.approx(0.0, abs=1e-9)
    assert found.step_stops == 0.0


@given(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_a_straight_fall_is_measured(across, down):
    found = evenness(across * COLUMN + down * ROW + 0.3, 4, 6)
    assert found.fall_stops == pytest.approx(5 * abs(across) + 3 * abs(down), abs=1e-3)


def test_a_few_wrong_patches_do_not_move_it():
    offsets = 0.04 * COLUMN
    offsets[[2, 9, 12, 14]] += (0.6, -0.4, 0.5, 0.5)
    offsets[17] = np.nan
    assert evenness(offsets, 4, 6).fall_stops == pytest.approx(0.2, abs=0.03)


@pytest.mark.parametrize("dark", [COLUMN >= 3, ROW >= 2, COLUMN + ROW >= 5, COLUMN >= 4], ids=str)
@pytest.mark.parametrize("depth", [0.8, 1.5, 3.0])
def test_a_shadow_is_a_step(dark, depth):
    scatter = np.random.default_rng(5).normal(0.0, 0.1, 24)
    found = evenness(scatter - depth * dark, 4, 6)
    assert max(found.step_stops, found.fall_stops) > SHADOW_STOPS


@pytest.mark.parametrize("dark", [ROW >= 1, ROW >= 2, ROW >= 3, COLUMN >= 2, COLUMN >= 4])
def test_a_clean_step_is_as_deep_as_it_is_wherever_it_lies(dark):
    # Of each side at least five patches are needed: a single column has four, a row has six.
    assert evenness(-1.0 * dark, 4, 6).step_stops == pytest.approx(1.0)


@pytest.mark.parametrize(("rows", "columns"), [(2, 6), (2, 12), (3, 8)])
def test_the_first_row_of_a_chart_of_few_may_be_the_bright_one(rows, columns):
    row = np.arange(rows * columns) // columns
    assert evenness(-1.0 * (row >= 1), rows, columns).step_stops == pytest.approx(1.0)


def test_scatter_alone_is_no_shadow():
    for seed in range(30):
        scatter = np.random.default_rng(seed).normal(0.0, 0.12, 24)
        found = evenness(scatter, 4, 6)
        assert max(found.step_stops, found.fall_stops) < SHADOW_STOPS
