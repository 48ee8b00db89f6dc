import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.pin_readings import PinReadings


def kept(levels, step_ns=40_000_000):
    readings = PinReadings()
    for number, level in enumerate(levels):
        readings.add(number * step_ns, np.array([level, 2.0 * level, -level]))
    return readings


def test_none_at_first():
    readings = PinReadings()
    assert len(readings) == readings.total == 0
    assert readings.last_ns is None


def test_only_the_newest_are_kept_and_all_are_counted():
    readings = kept(range(MOST_READINGS + 10))
    assert len(readings) == MOST_READINGS
    assert readings.total == MOST_READINGS + 10
    assert readings.newest[0] == MOST_READINGS + 9
    assert readings.span_s == pytest.approx((MOST_READINGS - 1) * 0.04)
    assert readings.time_of(10**6) == 10 * 40_000_000
    readings.clear()
    assert len(readings) == 0
    assert readings.total == MOST_READINGS + 10


@given(st.lists(st.floats(-10.0, 10.0), min_size=1, max_size=40), st.integers(1, 50))
def test_the_mean_is_that_of_the_last(levels, count):
    readings = kept(levels)
    last = readings.last(count)
    assert [each[0] for each in last] == levels[-count:]
    assert readings.mean(count) == pytest.approx(np.mean(last, axis=0), abs=1e-12)
    assert readings.time_of(count) == (len(levels) - len(last)) * 40_000_000


@given(
    st.lists(st.floats(-10.0, 10.0), min_size=3, max_size=60),
    st.integers(1, 9),
    st.integers(0, 60),
)
def test_readings_since_a_time_are_means_of_their_neighbours(levels, count, first):
    seconds, values = kept(levels).since(first * 40_000_000, count)
    wanted = np.array(levels)
    if len(levels) > count:
        # By numpy's own moving window, after the ends were repeated.
        around = np.pad(wanted, (count // 2, count - 1 - count // 2), mode="edge")
        wanted = np.lib.stride_tricks.sliding_window_view(around, count).mean(axis=1)
    assert seconds == pytest.approx(np.arange(len(levels))[first:] * 0.04)
    assert values[:, 0] == pytest.approx(wanted[first:], abs=1e-12)
    assert values[:, 2] == pytest.approx(-wanted[first:], abs=1e-12)
