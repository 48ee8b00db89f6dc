from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.watch.worth import HOLDS_NS, PinWorth, Worth

FRAME_NS = 40_000_000


def fed(seen):
    condition = PinWorth()
    for number, each in enumerate(seen):
        condition.add(number * FRAME_NS, each)
    return condition


def test_what_holds_counts_from_when_it_began():
    seen = [Worth.PLAIN] * 50 + [Worth.CLIPPED] * 50 + [Worth.DARK] * 50
    condition = fed(seen)
    assert (condition.now, condition.since_ns) == (Worth.DARK, 100 * FRAME_NS)
    assert condition.at(49 * FRAME_NS) is Worth.PLAIN
    assert condition.at(50 * FRAME_NS) is Worth.CLIPPED
    assert condition.at(-1) is Worth.PLAIN  # the oldest that is known


@given(st.lists(st.integers(1, HOLDS_NS // FRAME_NS), min_size=1, max_size=20))
def test_what_changes_back_at_once_is_no_condition(lengths):
    seen = [Worth.PLAIN] * 20
    for length in lengths:
        seen += [Worth.DARK] * length + [Worth.PLAIN]
    assert fed(seen).now is Worth.PLAIN


def test_a_watch_that_begins_clipped_is_clipped_at_once():
    assert fed([Worth.CLIPPED]).now is Worth.CLIPPED
    assert PinWorth().now is Worth.PLAIN
