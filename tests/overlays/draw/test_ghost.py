import numpy as np

from overlays.draw.ghost import GhostDrawer
from overlays.draw.trace import TraceDrawer, TraceGround

ROWS, COLUMNS, LEVELS = 64, 96, 256


def counts(level):
    out = np.zeros((COLUMNS, LEVELS), np.uint16)
    out[:, level] = 40
    return out


def ground():
    rows = np.arange(4 * ROWS, dtype=np.uint32).reshape(4, ROWS) % 7 + 1
    return TraceGround(rows)


def both(live, ghost, spot=(20, 30), drawer=None):
    target = np.zeros((ROWS, COLUMNS), np.uint32)
    TraceDrawer().draw(live, ground(), spot, target)
    before = target.copy()
    (drawer or GhostDrawer()).lay(ghost, ground(), spot, target)
    return before, target


def test_a_ghost_shows_where_the_live_trace_has_nothing():
    before, after = both(counts(50), counts(200))
    changed = np.flatnonzero((before != after).any(axis=1))
    assert 1 <= changed.size <= 2
    assert changed[0] < ROWS // 2  # brighter is higher
    assert (before != after)[changed[0]].all()
    assert len(np.unique(after[before != after])) == 1


def test_the_live_trace_is_never_covered():
    before, after = both(counts(120), counts(120))
    assert np.array_equal(before, after)


def test_another_ghost_takes_its_place():
    drawer = GhostDrawer()
    _, first = both(counts(50), counts(200), drawer=drawer)
    _, second = both(counts(50), counts(120), drawer=drawer)
    assert not np.array_equal(first, second)
    _, again = both(counts(50), counts(200), drawer=drawer)
    assert np.array_equal(first, again)
