"""What takes long is looked for in a thread of its own: nobody waits for it, and nothing is old."""

import threading
from types import SimpleNamespace

import pytest

from firmware.clock import HandClock
from firmware.live.searching import AT_ONCE, BesideFrames, Sought

SECOND = 10**9


class Scene(SimpleNamespace):
    """A scene as far as a search needs one; a copy says that it is one."""

    def kept(self):
        return Scene(now_ns=self.now_ns, is_copy=True)


def scene(at_s):
    return Scene(now_ns=round(at_s * SECOND), is_copy=False)


class Slow:
    """Finds how often it was asked, once it is let go; how long that takes the clock says."""

    def __init__(self, clock, takes_s=0.0):
        self.clock, self.takes_s = clock, takes_s
        self.let_go, self.scenes = threading.Event(), []

    def find(self, found_in):
        assert self.let_go.wait(30.0)
        self.scenes.append(found_in)
        self.clock.move(self.takes_s)
        return len(self.scenes)

    def sought(self, *, key="a", since_s=0.0, name="chart"):
        return Sought(name, (key,), self.find, round(since_s * SECOND), SECOND)


@pytest.fixture
def clock():
    return HandClock(0)


@pytest.fixture
def beside(clock):
    made = BesideFrames(clock)
    yield made
    made.close()


def through(beside):
    """Wait for the search under way, as nobody does but a test."""
    beside._search.begun.result(30.0)


def test_at_once_is_of_the_very_scene():
    some = scene(3)
    found = AT_ONCE.look(Sought("chart", (), lambda given: given, 0, SECOND), some)
    assert (found.answer, found.at_ns) == (some, 3 * SECOND)


def test_nobody_waits_and_a_copy_is_searched(clock, beside):
    slow = Slow(clock)
    assert beside.look(slow.sought(), scene(1)) is None
    assert beside.look(slow.sought(), scene(1.5)) is None  # still at the first
    slow.let_go.set()
    through(beside)
    found = beside.look(slow.sought(), scene(1.9))
    assert (found.answer, found.at_ns) == (1, SECOND)
    assert [each.is_copy for each in slow.scenes] == [True]


def test_the_next_begins_where_it_is_due_and_rests_as_long_as_the_one_before_took(clock, beside):
    slow = Slow(clock, takes_s=8.0)
    slow.let_go.set()
    beside.look(slow.sought(), scene(0))
    through(beside)
    # Two times eight seconds from the start of the one before.
    beside.look(slow.sought(), scene(15.9))
    assert beside._search is None
    beside.look(slow.sought(), scene(16))
    through(beside)
    assert len(slow.scenes) == 2
    slow.takes_s = 0.0
    beside.look(slow.sought(), scene(32))
    through(beside)
    # A quick one rests for what is asked for.
    beside.look(slow.sought(), scene(32.9))
    assert beside._search is None
    beside.look(slow.sought(), scene(33))
    assert beside._search is not None


def test_what_is_asked_for_otherwise_or_later_is_not_answered_with_what_was_found(clock, beside):
    slow = Slow(clock)
    slow.let_go.set()
    beside.look(slow.sought(), scene(1))
    through(beside)
    assert beside.look(slow.sought(since_s=1.0), scene(1.5)).answer == 1
    assert beside.look(slow.sought(since_s=1.1), scene(1.5)) is None  # and is looked for anew
    through(beside)
    assert beside.look(slow.sought(since_s=1.1), scene(1.6)).answer == 2
    assert beside.look(slow.sought(key="b"), scene(1.7)) is None
    through(beside)
    assert beside.look(slow.sought(key="b"), scene(1.8)).answer == 3
    assert beside.look(slow.sought(), scene(1.9)) is None


def test_one_at_a_time_and_of_each_the_newest(clock, beside):
    slow = Slow(clock)
    beside.look(slow.sought(), scene(1))
    assert beside.look(slow.sought(name="other"), scene(1)) is None
    slow.let_go.set()
    through(beside)
    assert len(slow.scenes) == 1
    assert beside.look(slow.sought(name="other"), scene(1.2)) is None
    through(beside)
    assert beside.look(slow.sought(), scene(1.3)).answer == 1
    assert beside.look(slow.sought(name="other"), scene(1.3)).answer == 2


def test_what_goes_wrong_there_is_told_here(beside):
    def fails(_scene):
        raise ValueError("spoilt")

    sought = Sought("chart", (), fails, 0, SECOND)
    assert beside.look(sought, scene(0)) is None
    with pytest.raises(ValueError, match="spoilt"):
        through(beside)
    with pytest.raises(ValueError, match="spoilt"):
        beside.look(sought, scene(0.1))


def test_the_end_waits_no_longer_than_for_any_thread(clock, monkeypatch):
    monkeypatch.setattr("firmware.live.searching.STOP_S", 0.01)
    beside, slow = BesideFrames(clock), Slow(clock)
    beside.look(slow.sought(), scene(1))
    begun = beside._search.begun
    beside.close()
    assert not begun.is_over
    slow.let_go.set()
    begun.result(30.0)
    assert begun.is_over
    beside.close()  # nothing is left


def test_the_end_is_quiet_though_a_search_fails(clock):
    def fails(_scene):
        raise ValueError("spoilt")

    beside = BesideFrames(clock)
    beside.look(Sought("chart", (), fails, 0, SECOND), scene(1))
    beside.close()
