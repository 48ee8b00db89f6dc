import numpy as np
import pytest

from overlays.draw.moment.layers import Ghost
from overlays.draw.trace.ghost import GhostDrawer, levels_for
from overlays.draw.trace.trace import TraceDrawer, TraceGround
from overlays.signal.signal import Range, Signal

ROWS, COLUMNS, LEVELS = 64, 96, 256
LIMITED, FULL = Signal(bits=8), Signal(bits=8, range=Range.FULL)


def counts(level):
    out = np.zeros((COLUMNS, LEVELS), np.uint16)
    out[:, level] = 40
    return out


def ground():
    rows = np.arange(4 * ROWS, dtype=np.uint32).reshape(4, ROWS) % 7 + 1
    return TraceGround(rows)


def kept(level, signal=LIMITED):
    return Ghost(signal, counts(level), None)


def both(live, ghost, spot=(20, 30), drawer=None):
    target = np.zeros((ROWS, COLUMNS), np.uint32)
    TraceDrawer().draw(live, ground(), spot, target)
    before = target.copy()
    (drawer or GhostDrawer()).lay(ghost, LIMITED, ground(), spot, target)
    return before, target


def test_a_ghost_shows_where_the_live_trace_has_nothing():
    before, after = both(counts(50), kept(200))
    changed = np.flatnonzero((before != after).any(axis=1))
    assert 1 <= changed.size <= 2
    assert changed[0] < ROWS // 2  # brighter is higher
    assert (before != after)[changed[0]].all()
    assert len(np.unique(after[before != after])) == 1


def test_the_live_trace_is_never_covered():
    before, after = both(counts(120), kept(120))
    assert np.array_equal(before, after)


def test_another_ghost_takes_its_place():
    drawer = GhostDrawer()
    _, first = both(counts(50), kept(200), drawer=drawer)
    _, second = both(counts(50), kept(120), drawer=drawer)
    assert not np.array_equal(first, second)
    _, again = both(counts(50), kept(200), drawer=drawer)
    assert np.array_equal(first, again)


@pytest.mark.parametrize(
    # 0 %, 50 % and 100 % of ITU-R BT.709-6 (8 bits: 16 to 235) and of full range (0 to 255)
    ("own", "level", "live", "expected"),
    [
        (FULL, 0, LIMITED, 16),
        (FULL, 255, LIMITED, 235),
        (LIMITED, 235, FULL, 255),
        (LIMITED, 16, FULL, 0),
        (LIMITED, 200, LIMITED, 200),
    ],
)
def test_a_ghost_of_another_range_lies_at_its_percent(own, level, live, expected):
    found = levels_for(kept(level, own), live)
    assert set(np.flatnonzero(found[0])) == {expected}


def test_what_the_other_range_cannot_hold_is_left_out():
    assert not levels_for(kept(4, LIMITED), FULL).any()  # below black
    assert not levels_for(kept(250, LIMITED), FULL).any()  # above 100 %
