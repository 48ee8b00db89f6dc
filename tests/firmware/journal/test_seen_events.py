from dataclasses import replace
from types import SimpleNamespace

from firmware.instruments.registry import REGISTRY
from firmware.journal.seen_events import MOST_EVENTS, PACE_NS, EventPace, SeenEvent, fresh_of
from tests.marked import stamp

LINE = REGISTRY.of_command("watch")


def event(at_s: float) -> SeenEvent:
    return SeenEvent(object(), LINE, "a feed", stamp(at_s), codes=SimpleNamespace())


def test_so_many_of_a_minute_keep_their_codes_and_all_are_kept():
    pace = EventPace()
    rows = [pace.of(event(number)) for number in range(MOST_EVENTS + 5)]
    assert [each.codes is not None for each in rows] == [True] * MOST_EVENTS + [False] * 5
    later = pace.of(event(PACE_NS / 1e9))
    assert later.codes is not None


def test_while_a_card_takes_nothing_memory_does_not_fill_with_codes():
    assert EventPace().of(event(0.0), waits=MOST_EVENTS).codes is None
    assert EventPace().of(event(0.0), waits=MOST_EVENTS - 1).codes is not None


def test_an_event_without_codes_stays_as_it_is():
    bare = replace(event(0.0), codes=None)
    assert EventPace().of(bare) is bare


def test_each_event_is_fresh_once_and_comes_with_the_codes_of_its_frame():
    one, two, kept = SimpleNamespace(), SimpleNamespace(), SimpleNamespace()
    instrument = SimpleNamespace(
        events=lambda memory: memory, seen_at=lambda _memory, each: kept if each is two else None
    )
    line = SimpleNamespace(instrument=instrument)
    memory = (one, two)
    now, fresh = fresh_of(line, memory, (one,), "a feed", stamp)
    assert now is memory
    assert [(each.event, each.codes) for each in fresh] == [(two, kept)]
    assert fresh_of(line, memory, now, "a feed", stamp) == (now, [])
