import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health import limits
from firmware.health.condition import Severity
from firmware.health.limits import graded

ALL = (
    limits.TEMPERATURE_C,
    limits.PICTURES_LEFT,
    limits.PASSED_SHARE,
    limits.DAMAGED_SHARE,
    limits.LATE_S,
)


@pytest.mark.parametrize("each", ALL)
def test_limits_end_lower_than_they_begin_and_stand_in_order(each):
    assert all(limit.fall < limit.rise for limit in each)
    assert list(each) == sorted(each, key=lambda limit: -limit.rise)
    assert list(each) == sorted(each, key=lambda limit: -limit.severity)


def test_the_published_temperatures():
    """raspberrypi/documentation, frequency-management.adoc: 80 °C slowed, 85 °C the limit."""
    assert graded(79.9, limits.TEMPERATURE_C, Severity.FINE) is Severity.FINE
    assert graded(80.0, limits.TEMPERATURE_C, Severity.FINE) is Severity.WARNING
    assert graded(84.9, limits.TEMPERATURE_C, Severity.FINE) is Severity.WARNING
    assert graded(85.0, limits.TEMPERATURE_C, Severity.FINE) is Severity.ALARM


@given(st.sampled_from(ALL), st.lists(st.floats(-20.0, 100.0), min_size=2, max_size=30))
def test_a_value_that_trembles_less_than_the_gap_does_not_flicker(each, values):
    gap = min(limit.rise - limit.fall for limit in each)
    start = values[0]
    before, changes = graded(start, each, Severity.FINE), 0
    for value in values[1:]:
        near = start + (abs(value) % 1.0 - 0.5) * gap * 0.99
        now = graded(near, each, before)
        changes += now is not before
        before = now
    assert changes <= 1
