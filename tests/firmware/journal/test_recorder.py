import os
import threading
from dataclasses import replace
from pathlib import Path
from unittest.mock import Mock

import pytest

from firmware.clock import HandClock
from firmware.errors import ArgumentError
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.following import Following, WatchMemory
from firmware.instruments.watch.timing import Moment
from firmware.journal import backlog, recorder, stamping
from firmware.journal.backlog import MISSED
from firmware.journal.card_journal import Card
from firmware.journal.recorder import MOST_FRAMES, Machine, Recorder
from firmware.journal.row import ClockTrust, RowKind, Stamp
from firmware.journal.slate import Slate
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import verify
from firmware.profiles.reader import read_profile
from firmware.system.time_of_day import time_source
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Measured
from overlays.measure.watch.change import Happening, Tolerance
from overlays.measure.watch.events import TakeEvent
from tests.marked import DAY_S, SMALL, in_view


class Desk:
    """A recorder with its clock, worked turn by turn as its thread would."""

    def __init__(self, path: Path) -> None:
        self.clock = HandClock(10**9, DAY_S)
        self.slate = Slate("12")
        self.path = path
        self.recorder = Recorder(path, Machine(self.clock, lambda: self.slate))
        self.seen = in_view(SMALL, "pins")

    def measured(self) -> Measured:
        seen = self.seen
        return Measured(
            seen.frame,
            seen.yard,
            None,
            seen.place,
            None,
            seen.range,
            (),
            None,
            seen.answer,
            seen.view,
        )

    def mark(self) -> str:
        settings = {"pins": self.seen.settings}
        return self.recorder.mark(self.measured(), self.seen.desk, settings, self.seen.read_with)

    def turn(self) -> list[str]:
        self.recorder._turn()
        return self.recorder.notes()

    def rows(self) -> list[tuple[RowKind, str]]:
        with StoreReader(self.path) as file:
            assert verify(file).faults == ()
            return [(row.kind, row.head.get("slate", {}).get("scene", "")) for row in file.heads()]


@pytest.fixture
def desk(tmp_path, monkeypatch) -> Desk:
    monkeypatch.setattr(recorder, "TURN_S", 0.0)
    monkeypatch.setattr(stamping, "kernel_status", lambda: 0)
    return Desk(tmp_path / "journal.db")


def test_a_file_whose_name_is_no_text_is_marked_as_any(desk):
    # POSIX: a name is any bytes but 0 and "/"; Python carries what is no UTF-8 as surrogates.
    name = os.fsdecode(b"Aufnahme_M\xfcller.mov")
    read_with = desk.seen.read_with
    info = replace(read_with.info, name=name)
    desk.seen = replace(desk.seen, read_with=replace(read_with, info=info))
    desk.mark()
    assert desk.turn() == ["mark 1 saved"]
    with StoreReader(desk.path) as file:
        (row,) = file.heads()
        assert row.head["feed"] == "Aufnahme_M?ller.mov"
        assert verify(file).faults == ()


def test_a_row_that_can_never_be_kept_holds_up_none_behind_it_and_is_told(desk, monkeypatch):
    append, tries = Card.append, []

    def refusing(card, row):
        tries.append(row)
        if len(tries) == 1:
            raise TypeError("no such column")
        return append(card, row)

    monkeypatch.setattr(Card, "append", refusing)
    desk.mark()
    assert desk.turn() == ["not saved: TypeError: no such column"]
    desk.mark()
    assert desk.turn() == ["mark 1 saved"]
    desk.recorder.start()
    assert desk.recorder.close() == "1 mark was never saved: TypeError: no such column"


def test_what_a_thread_that_hangs_has_not_saved_is_told(desk, monkeypatch):
    at_work, let_go = threading.Event(), threading.Event()

    def hanging(_card, row):
        at_work.set()
        let_go.wait(30.0)
        return row

    monkeypatch.setattr(Card, "append", hanging)
    monkeypatch.setattr(recorder, "FINISH_S", 0.05)
    monkeypatch.setattr(recorder, "LEAVING_S", 0.0)
    desk.recorder.start()
    desk.mark()
    assert at_work.wait(30.0)
    assert desk.recorder.close() == "1 mark was never saved: there was no time"
    let_go.set()


def test_a_mark_is_acknowledged_when_it_is_on_the_card_and_not_before(desk):
    assert desk.mark() == "marking"
    assert desk.recorder.notes() == []
    assert not desk.path.exists()
    assert desk.turn() == ["mark 1 saved"]
    assert desk.rows() == [(RowKind.MARK, "12")]
    assert desk.recorder.waiting == 0
    assert desk.turn() == []


def test_what_is_marked_is_what_was_in_view_at_the_press(desk):
    desk.mark()
    luma = desk.seen.frame.planes[0]
    luma.setflags(write=True)
    luma[...] = 0  # the feed writes its buffer again
    desk.turn()
    with StoreReader(desk.path) as file:
        (row,) = file.rows()
    assert row.head["percent"] > 20


def test_a_card_that_takes_nothing_is_said_and_tried_again_and_nothing_is_lost(desk):
    # A folder is where the journal should be: nothing can be written there.
    desk.path.mkdir()
    desk.mark()
    assert desk.turn() == []
    alert = desk.recorder.alert()
    assert alert.tone is Tone.ALARM
    assert alert.words == "1 mark waits in memory: the card takes nothing, check it"
    desk.slate = Slate("13")
    desk.mark()
    desk.turn()
    assert desk.recorder.alert().words.startswith("2 marks wait in memory: ")
    desk.path.rmdir()
    assert desk.turn() == []  # not at every turn
    desk.clock.move(2.1)
    assert desk.turn() == ["mark 1 saved", "mark 2 saved"]
    assert desk.rows() == [(RowKind.MARK, "12"), (RowKind.MARK, "13")]
    assert desk.recorder.alert() is None


def test_marks_that_wait_are_bounded_and_the_next_is_refused(desk, monkeypatch):
    for _ in range(MOST_FRAMES):
        assert desk.mark() == "marking"
    assert desk.mark() == f"not marked: {MOST_FRAMES} marks wait to be saved already"
    monkeypatch.setattr(recorder, "MOST_WAITING", 2)
    desk.path.mkdir()
    desk.turn()
    desk.turn()
    assert desk.mark().startswith("not marked: 4 marks wait")


def test_without_a_picture_or_with_a_slate_that_is_none_nothing_is_marked(desk):
    seen = desk.seen
    said = desk.recorder.mark(None, seen.desk, {}, seen.read_with)
    assert said == "not marked: there is no picture to read"

    def wrong() -> Slate:
        raise ArgumentError("slate.toml: is no TOML")

    desk.recorder._around = Machine(desk.clock, wrong)
    assert desk.mark() == "not marked: slate.toml: is no TOML"


def test_the_profile_is_kept_as_it_was_when_it_came_into_use(desk, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('curve = "V-Log"\n')
    profile = read_profile(path)
    desk.seen = replace(desk.seen, read_with=replace(desk.seen.read_with, profile=profile))
    desk.recorder.see({}, profile, SMALL)
    desk.turn()
    path.write_text('curve = "S-Log3"\n')
    desk.mark()
    assert desk.turn() == ["mark 1 saved"]
    with StoreReader(desk.path) as file:
        (row,) = file.rows()
    assert row.body["profile"]["text"] == 'curve = "V-Log"\n'
    # Taken up only after its file was changed, what it says is not known.
    later = read_profile(path)
    path.write_text('curve = "HLG"\n')
    desk.seen = replace(desk.seen, read_with=replace(desk.seen.read_with, profile=later))
    desk.mark()
    (said,) = desk.turn()
    assert said.startswith("not marked: ")
    assert "was changed since it was taken up" in said


def test_what_a_watch_sees_is_kept_by_itself_and_once(desk):
    following = Following((), (1,), Tolerance())
    memories = {"watch": WatchMemory(following)}

    def see() -> None:
        desk.recorder.see(memories, desk.seen.read_with.profile, SMALL)

    see()
    for number in (1, 2):
        gap = TakeEvent(Happening.GAP, number * 10**9, number * 10**9, (), 1)
        moment = Moment(float(number), None, None)
        following.events = (*following.events, Told(gap, moment, moment, "now"))
        see()
        see()
    desk.turn()
    desk.turn()
    assert desk.rows() == [(RowKind.EVENT, "12")] * 2
    assert desk.recorder.notes() == []


def test_a_clock_that_is_not_set_is_said_and_once_it_is_set_the_journal_says_so(desk, monkeypatch):
    stamps = [Stamp("b", 10**9, 12.0, ClockTrust.UNSET)] * 3
    monkeypatch.setattr(desk.recorder, "stamp", lambda: stamps[0])
    desk.mark()
    assert desk.turn() == ["mark 1 saved (clock unset)"]
    desk.turn()
    assert [kind for kind, _ in desk.rows()] == [RowKind.MARK]
    stamps[0] = Stamp("b", 61 * 10**9, DAY_S, ClockTrust.SYNCHRONISED)
    desk.clock.move(6.0)
    desk.turn()
    desk.clock.move(6.0)
    desk.turn()
    assert [kind for kind, _ in desk.rows()] == [RowKind.MARK, RowKind.CLOCK]


def test_a_fault_in_one_mark_costs_no_other(desk, monkeypatch):
    def broken(*_what: object) -> None:
        raise RuntimeError("oh no")

    with monkeypatch.context() as patched:
        patched.setattr(recorder, "mark_of", broken)
        desk.mark()
        assert desk.turn() == ["not marked: RuntimeError: oh no"]
    desk.mark()
    assert desk.turn() == ["mark 1 saved"]


def test_a_journal_that_has_failed_says_so_for_as_long_as_it_runs(desk):
    desk.recorder._worker.fault = RuntimeError("oh no")
    assert desk.recorder.alert().words == "the journal has failed: marks are not saved; restart"
    assert desk.mark() == "not marked: the journal has failed; restart"


def test_a_run_that_ends_saves_what_waits_or_says_what_it_lost(tmp_path):
    desk = Desk(tmp_path / "journal.db")
    desk.recorder.start()
    desk.mark()
    assert desk.recorder.close() == ""
    assert desk.rows() == [(RowKind.MARK, "12")]
    desk = Desk(tmp_path / "other.db")
    desk.path.mkdir()
    desk.recorder.start()
    desk.mark()
    assert desk.recorder.close().startswith("1 mark was never saved: ")
    assert desk.recorder.lost == 1


def test_where_nothing_happened_nobody_asks_what_time_it_is(desk, monkeypatch):
    """At every turn of the loop, sixty times a second; to ask is to look at kernel and card."""
    asked = Mock(wraps=time_source)
    monkeypatch.setattr(stamping, "time_source", asked)
    profile = desk.seen.read_with.profile
    memories = {"watch": WatchMemory(Following((), (1,), Tolerance()))}
    desk.recorder.see(memories, profile, SMALL)
    desk.recorder.see(memories, profile, SMALL)
    asked.assert_not_called()


def seen_gaps(desk, following, memories, numbers):
    for number in numbers:
        gap = TakeEvent(Happening.GAP, number * 10**9, number * 10**9, (), 1)
        moment = Moment(float(number), None, None)
        following.events = (*following.events, Told(gap, moment, moment, "now"))
        desk.recorder.see(memories, desk.seen.read_with.profile, SMALL)


def test_events_that_wait_are_bounded_counted_and_said_and_no_mark_is_refused_for_them(
    desk, monkeypatch
):
    monkeypatch.setattr(backlog, "MOST_EVENTS_WAITING", 3)
    monkeypatch.setattr(recorder, "MOST_WAITING", 3)
    following = Following((), (1,), Tolerance())
    memories = {"watch": WatchMemory(following)}
    desk.path.mkdir()
    seen_gaps(desk, following, memories, range(1, 9))
    for _ in range(4):
        desk.turn()
    assert desk.recorder.alert().words.startswith("3 events wait in memory, 5 events were not kept")
    assert desk.mark() == "marking"  # events fill no place of a mark
    desk.turn()
    assert desk.recorder.alert().words.startswith("1 mark and 3 events wait in memory, 5 events")
    desk.path.rmdir()
    desk.clock.move(2.1)
    assert desk.turn() == ["mark 4 saved; 5 events were not kept"]
    with StoreReader(desk.path) as file:
        assert [row.body.get(MISSED) for row in file.rows()] == [None, None, None, 5]
        assert verify(file).faults == ()
    # With the card back, events are kept again.
    seen_gaps(desk, following, memories, [9])
    desk.turn()
    assert len(desk.rows()) == 5


def test_events_that_no_row_speaks_of_are_said_at_the_end(desk, monkeypatch):
    monkeypatch.setattr(backlog, "MOST_EVENTS_WAITING", 0)
    following = Following((), (1,), Tolerance())
    seen_gaps(desk, following, {"watch": WatchMemory(following)}, [1, 2])
    desk.recorder.start()
    assert desk.recorder.close() == "2 events were not kept"


def test_with_nothing_to_do_its_thread_waits_for_something(desk, monkeypatch):
    waited: list[float] = []
    monkeypatch.setattr(recorder, "TURN_S", 0.25)
    monkeypatch.setattr(desk.recorder._there, "wait", waited.append)
    desk.turn()
    assert waited == [0.25]
    desk.mark()
    desk.turn()
    assert waited == [0.25]
