"""Evenness of the light on a chart."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.chart.lit import SHADOW_STOPS, UNEVEN_STOPS, evenness
from overlays.measure.chart.reference import CHART24
from overlays.signal.gamuts import published_gamut

ROW, COLUMN = np.divmod(np.arange(24), 6)
LINEAR = CHART24.linear(published_gamut("BT.2020"))
FROM_MIDDLE = np.hypot((COLUMN - 2.5) / 2.5, (ROW - 1.5) / 1.5)


def lit(offsets):
    return evenness(offsets, 4, 6, LINEAR)


def test_even_light_is_even():
    found = lit(np.full(24, 0.7))
    assert found.fall_stops == pytest.approx(0.0, abs=1e-9)
    assert found.step_stops == 0.0


@given(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_a_straight_fall_is_measured(across, down):
    found = lit(across * COLUMN + down * ROW + 0.3)
    assert found.fall_stops == pytest.approx(5 * abs(across) + 3 * abs(down), abs=1e-3)


def test_a_few_wrong_patches_do_not_move_it():
    offsets = 0.04 * COLUMN
    offsets[[2, 9, 12, 14]] += (0.6, -0.4, 0.5, 0.5)
    offsets[17] = np.nan
    assert lit(offsets).fall_stops == pytest.approx(0.2, abs=0.03)


@pytest.mark.parametrize("dark", [COLUMN >= 3, ROW >= 2, COLUMN + ROW >= 5, COLUMN >= 4], ids=str)
@pytest.mark.parametrize("depth", [0.8, 1.5, 3.0])
def test_a_shadow_is_a_step(dark, depth):
    scatter = np.random.default_rng(5).normal(0.0, 0.1, 24)
    found = lit(scatter - depth * dark)
    assert max(found.step_stops, found.proven_fall) > SHADOW_STOPS


@pytest.mark.parametrize("dark", [ROW >= 1, ROW >= 2, ROW >= 3, COLUMN >= 2, COLUMN >= 4])
def test_a_clean_step_is_as_deep_as_it_is_wherever_it_lies(dark):
    # Of each side at least five patches are needed: a single column has four, a row has six.
    # All patches alike: what they show takes no share of the step.
    alike = np.full((24, 3), 0.2)
    assert evenness(-1.0 * dark, 4, 6, alike).step_stops == pytest.approx(1.0)
    # Of a real chart the tones go by row and column too, and the smaller of two steps is said: the
    # plain one, and what is left of it when what the patches show was fitted beside it.
    assert lit(-1.0 * dark).step_stops == pytest.approx(1.0, abs=0.07)
    assert lit(-1.0 * dark).step_stops <= 1.0 + 1e-9


@pytest.mark.parametrize(("rows", "columns"), [(2, 6), (2, 12), (3, 8)])
def test_the_first_row_of_a_chart_of_few_may_be_the_bright_one(rows, columns):
    row = np.arange(rows * columns) // columns
    linear = np.random.default_rng(6).uniform(0.03, 0.9, (rows * columns, 3))
    assert evenness(-1.0 * (row >= 1), rows, columns, linear).step_stops == pytest.approx(1.0)


def test_scatter_alone_is_no_shadow():
    for seed in range(30):
        scatter = np.random.default_rng(seed).normal(0.0, 0.12, 24)
        found = lit(scatter)
        assert max(found.step_stops, found.proven_fall) < SHADOW_STOPS


@pytest.mark.parametrize("depth", [-0.4, 0.25, 0.5])
def test_light_that_falls_off_from_the_middle_is_measured(depth):
    # A plane sees nothing of it: 0.002 stops, said the issue.
    scatter = np.random.default_rng(2).normal(0.0, 0.02, 24)
    found = lit(scatter - depth * FROM_MIDDLE**2 / 2.0)
    inside = np.ptp(depth * FROM_MIDDLE**2 / 2.0)
    assert found.fall_stops == pytest.approx(inside, abs=0.06)
    assert found.proven_fall > UNEVEN_STOPS
    assert np.sign(found.middle_stops) == np.sign(depth)
    assert abs(found.middle_stops) > 0.6 * found.fall_stops


@pytest.mark.parametrize("contrast", [-0.3, 0.2, 0.6])
def test_a_wrong_curve_is_no_uneven_light(contrast):
    # Greys from light to dark stand in one row: along it, a contrast looks like a fall of light.
    tones = np.log2(np.maximum(LINEAR[:, 1], 0.01))
    found = lit(contrast * tones)
    assert found.proven_fall == 0.0
    assert found.tones_stops > 0.25


def test_a_cast_is_no_uneven_light():
    # Light by luminance of a warm cast that no gain took away: the errors go by colour alone.
    cast = LINEAR @ (np.array([1.4, 1.0, 0.5]) * (0.2627, 0.6780, 0.0593))
    plain = LINEAR @ np.array([0.2627, 0.6780, 0.0593])  # ITU-R BT.2020-2 table 4
    found = lit(np.log2(cast / plain))
    assert found.proven_fall < UNEVEN_STOPS
    assert found.tones_stops < 0.25


@given(st.integers(0, 10**6))
def test_scatter_alone_proves_no_fall_nineteen_times_in_twenty(seed):
    rng = np.random.default_rng(seed)
    found = [lit(rng.normal(0.0, 0.05, 24)) for _ in range(5)]
    assert sum(each.proven_fall > UNEVEN_STOPS for each in found) <= 2


def test_few_patches_have_few_terms():
    offsets = np.array([0.0, 0.1, 0.2, 0.3, 0.0, 0.1, 0.2, 0.3])
    found = evenness(offsets, 2, 4, LINEAR[:8])
    assert found.fall_stops == pytest.approx(0.3, abs=1e-6)
    assert np.isfinite([found.middle_stops, found.tones_stops]).all()
