"""A device is silent once it was looked for a picture for long enough, and not before."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.silence import FIRST_S, LOOK_S, MOST_S, SPARE, Silence

S = 1_000_000_000
LEAST_S = 1.0


def running(gap_s: float = 0.04, pictures: int = 50) -> tuple[Silence, int]:
    """One whose pictures came so far apart, and the time."""
    silence, now_ns = Silence(), 0
    silence.starts(now_ns)
    for _ in range(pictures):
        now_ns += round(gap_s * S)
        silence.looked(now_ns, found=True)
    return silence, now_ns


def silent_after_s(silence: Silence, now_ns: int, every_s: float, tries: int = 0) -> float:
    """Seconds until it is called silent, looked at so often."""
    at_ns = now_ns
    while not silence.is_over(LEAST_S, tries):
        at_ns += round(every_s * S)
        silence.looked(at_ns, found=False)
        assert at_ns - now_ns < 10_000 * S
    return (at_ns - now_ns) / S


def test_a_device_that_stops_is_silent_after_the_time_it_is_given():
    assert silent_after_s(*running(), 0.05) == pytest.approx(LEAST_S + 0.05)


@given(late_s=st.floats(0.0, 3600.0))
def test_being_late_once_makes_no_device_silent(late_s):
    silence, now_ns = running()
    silence.looked(now_ns + round(late_s * S), found=False)
    assert not silence.is_over(LEAST_S)


@given(late_s=st.floats(LOOK_S, 30.0))
def test_one_that_is_always_late_needs_as_many_looks(late_s):
    silence, now_ns = running()
    assert silent_after_s(silence, now_ns, late_s) == pytest.approx(late_s * (LEAST_S / LOOK_S + 1))


def test_a_picture_begins_the_time_anew():
    silence, now_ns = running()
    for number in range(200):
        now_ns += round(0.2 * S)
        silence.looked(now_ns, found=number % 5 == 4)
        assert not silence.is_over(LEAST_S)


def test_the_first_picture_of_a_stream_gets_longer_and_ever_longer_with_each_try():
    silence = Silence()
    silence.starts(0)
    bounds = [silence.bound_s(LEAST_S, tries) for tries in range(12)]
    assert bounds[:5] == [FIRST_S, FIRST_S, 2 * FIRST_S, 4 * FIRST_S, 8 * FIRST_S]
    assert max(bounds) == bounds[-1] == MOST_S
    silence.looked(S, found=True)
    assert silence.bound_s(LEAST_S, 11) == pytest.approx(SPARE)  # what it needed, and no more


def test_a_slow_device_is_given_what_it_needs_and_a_quick_one_no_more_again():
    silence, now_ns = running(gap_s=2.0)
    assert silence.bound_s(LEAST_S) == pytest.approx(SPARE * 2.0)
    for _ in range(60):
        now_ns += round(0.04 * S)
        silence.looked(now_ns, found=True)
    assert silence.bound_s(LEAST_S) == LEAST_S


@given(gap_s=st.floats(0.001, 600.0), tries=st.integers(0, 1000))
def test_there_is_an_end_to_waiting(gap_s, tries):
    silence, now_ns = running(gap_s, 3)
    assert LEAST_S <= silence.bound_s(LEAST_S, tries) <= MOST_S
    silence.starts(now_ns)
    assert FIRST_S <= silence.bound_s(LEAST_S, tries) <= MOST_S
