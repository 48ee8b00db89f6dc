"""Light in stops and its half width."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.spot.stops import stops_of, stops_pm


def test_mid_grey_is_no_stops_and_no_light_is_none():
    assert stops_of(0.18) == 0.0
    assert stops_of(0.36) == pytest.approx(1.0)
    assert stops_of(0.0) is None
    assert stops_of(-0.1) is None
    assert stops_of(1e-4, least=1e-3) is None


def test_what_noise_leaves_at_black_is_no_light():
    # Found by the sweep of sentences: a black chip through HLG read -20.68 stops.
    assert stops_of(0.18 * 2.0**-20.68) is None
    assert stops_of(0.18 * 2.0**-19.9) == pytest.approx(-19.9)


@given(light=st.floats(1e-4, 100.0), share=st.floats(0.0, 0.99))
def test_the_half_width_is_that_of_the_lower_side(light, share):
    lower = stops_of(light) - stops_of(light * (1.0 - share))
    assert stops_pm(light, light * share) == pytest.approx(lower, abs=1e-9)


def test_a_half_width_that_reaches_no_light_is_none():
    assert stops_pm(0.1, 0.1) is None
    assert stops_pm(1.0, 0.5) == 1.0  # from 1 down to a half is a stop
    assert stops_pm(1.0, 0.0) == 0.0
    assert math.isfinite(stops_pm(0.1, 0.0999))
