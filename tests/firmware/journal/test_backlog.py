from dataclasses import replace

import pytest

from firmware.journal import backlog
from firmware.journal.backlog import MISSED, Backlog, missed_words
from firmware.journal.row import JournalRow, RowKind
from tests.marked import stamp


def row(kind):
    return JournalRow(kind, stamp(), {})


@pytest.fixture
def waiting(monkeypatch):
    monkeypatch.setattr(backlog, "MOST_EVENTS_WAITING", 2)
    return Backlog()


def test_events_wait_up_to_a_bound_and_marks_without_one(waiting):
    for _ in range(50):
        waiting.append(row(RowKind.MARK))
    assert waiting.has_room(0)
    waiting.append(row(RowKind.EVENT))
    assert waiting.has_room(0)
    assert not waiting.has_room(1)  # one comes already
    assert (len(waiting), waiting.marks, waiting.missed) == (51, 50, 1)


def test_what_was_not_kept_is_said_of_the_next_and_once(waiting):
    waiting.append(row(RowKind.EVENT))
    waiting.append(row(RowKind.EVENT))
    for _ in range(3):
        assert not waiting.has_room(0)
    assert waiting.words() == "2 events wait in memory, 3 events were not kept"
    assert (waiting.take_missed(), waiting.take_missed(), waiting.missed) == (3, 0, 0)
    waiting.append(replace(row(RowKind.MARK), body={MISSED: 3}))
    assert waiting.words() == "1 mark and 2 events wait in memory, 3 events were not kept"
    for _ in range(3):
        waiting.saved()
    assert waiting.has_room(0)
    assert waiting.words() == ""


def test_one_is_one():
    assert missed_words(1) == "1 event was not kept"
    one = Backlog()
    one.append(row(RowKind.MARK))
    assert one.words() == "1 mark waits in memory"
