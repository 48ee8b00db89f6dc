"""Steps of a third of a stop (common practice, no source) and of a percent."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.live.stripe_steps import LEVEL_LIMITS, nudged
from overlays.signal.quantities import Level, Unit, percent, stops


def steps(level, count):
    for _ in range(abs(count)):
        level = nudged(level, 1 if count > 0 else -1)
    return level


def test_three_nudges_of_a_third_make_a_whole_stop():
    assert steps(stops(0.0), 3) == stops(1.0)
    assert steps(stops(0.0), -6) == stops(-2.0)


def test_percent_is_nudged_by_one_and_never_beyond_the_codes():
    assert nudged(percent(107.0), 1) == percent(108.0)
    assert steps(percent(107.0), 9) == percent(109.0)


@given(st.sampled_from(Unit), st.floats(0.0, 1.0), st.integers(-60, 60))
def test_however_often_it_stays_within_what_a_feed_holds(unit, share, count):
    low, high = LEVEL_LIMITS[unit]
    moved = steps(Level(low + share * (high - low), unit), count)
    assert low <= moved.number <= high
    assert moved.unit is unit


@given(st.integers(-30, 30), st.integers(-12, 12))
def test_steps_up_and_down_undo_each_other_between_the_ends(thirds, count):
    start = nudged(stops(thirds / 3.0), 0)
    if -14.0 <= thirds / 3.0 + count / 3.0 <= 14.0:
        assert steps(steps(start, count), -count) == start


@pytest.mark.parametrize(("level", "text"), [(stops(0.0), "0 st"), (percent(0.0), "0 %")])
def test_there_is_no_minus_before_nothing(level, text):
    assert str(steps(steps(level, -1), 1)) == text
