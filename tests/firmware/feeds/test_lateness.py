"""How late a picture is follows from the stamps of the stream, whatever clock they count by."""

from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.lateness import APART_NS, Lateness

STEP = 40_000_000
JITTER = st.lists(st.integers(0, 400_000_000), min_size=2, max_size=80)


@given(JITTER, st.integers(-(10**15), 10**15))
def test_what_waited_longer_than_the_quickest_is_late_by_as_much(waits, zero):
    late, arrived, least = Lateness(), 0, None
    for n, wait in enumerate(waits):
        arrived = max(n * STEP + wait, arrived)
        delay = arrived - n * STEP
        least = delay if least is None else min(least, delay)
        found = late.of(zero + n * STEP, arrived)
        # The allowance for clocks that run apart is a ten-thousandth of the time gone by.
        assert -1 <= (delay - least) - found <= 1e-4 * arrived + 64


def test_a_sender_whose_clock_is_slow_is_not_taken_for_late():
    late = Lateness()
    assert max(late.of(round(n * STEP * (1 - 5e-5)), n * STEP) for n in range(90_000)) < 3_000


def test_a_stream_that_begins_anew_is_counted_anew():
    late = Lateness()
    late.of(0, 10**12)
    assert late.of(0, 10**12 + 2 * APART_NS) == 0
    assert late.of(STEP, 10**12 + 2 * APART_NS + 3 * STEP) == 2 * STEP - 3 * STEP // 10_000


def test_without_a_stamp_nothing_is_known():
    assert Lateness().of(None, 5) == 0
