import threading
from types import SimpleNamespace

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.instruments.registry import REGISTRY
from firmware.journal.row import RowKind
from firmware.journal.slate import parse_slate, read_slate
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import verify
from firmware.live.hooks import Hooks
from firmware.live.loop import Loop as ServedLoop
from firmware.live.marking import Marking
from firmware.live.starting import starting_state
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Measured
from tests import views
from tests.golden.playing import Timed, turned_by_hand
from tests.marked import DAY_S, SMALL, in_view
from tests.moments import Reader

ALARM, PLAIN = Alert("hot", Tone.ALARM), Alert("warm")


class Loop:
    """As far as a journal needs one."""

    def __init__(self, profile) -> None:
        self.memories: dict[str, object] = {}
        self.said: list[str] = []
        self.state = SimpleNamespace(in_use=profile)

    def say(self, words: str) -> None:
        self.said.append(words)


@pytest.fixture
def marking(tmp_path):
    return Marking(tmp_path / "journal.db", "scene=4", HandClock(10**9, DAY_S), tmp_path)


def test_a_press_becomes_a_row_and_a_note(marking, tmp_path):
    seen = in_view(SMALL)
    (tmp_path / "slate.toml").write_text('take = "2"\n')
    loop = Loop(seen.read_with.profile)
    marking.turn(loop, SMALL)  # nothing is loaded yet
    marking.prepare()
    measured = Measured(
        seen.frame, seen.yard, None, seen.place, None, seen.range, (), None, seen.answer, seen.view
    )
    settings = (("spot", seen.settings),)
    state = SimpleNamespace(desk=seen.desk, settings=settings, view=seen.view)
    assert marking.mark(measured, state, seen.read_with) == "marking"
    assert marking.close() == ""
    marking.turn(loop, SMALL)
    assert [words.removesuffix(" (clock unset)") for words in loop.said] == ["mark 1 saved"]
    with StoreReader(tmp_path / "journal.db") as file:
        (row,) = file.heads()
    assert (row.head["slate"]["scene"], row.head["slate"]["take"]) == ("4", "2")


def test_a_mark_right_after_a_view_was_turned_to_is_of_that_view(marking, tmp_path):
    seen = in_view(SMALL, view="match")
    measured = Measured(
        seen.frame, seen.yard, None, seen.place, None, seen.range, (), None, object(), seen.view
    )
    name = REGISTRY.in_view(views.EXPOSE).name
    settings = ((name, in_view(SMALL).settings),)
    state = SimpleNamespace(desk=seen.desk, settings=settings, view=views.EXPOSE)
    assert marking.mark(measured, state, seen.read_with) == "marking"
    assert marking.close() == ""
    with StoreReader(tmp_path / "journal.db") as file:
        (row,) = file.heads()
    assert (row.head["view"], row.head["instrument"]) == ("expose", name)


def test_a_slate_is_kept_on_the_card_once(marking, tmp_path):
    slate = parse_slate("scene=7,take=3")
    assert marking.set_slate(slate) == ""
    assert read_slate(tmp_path) == slate
    assert marking.slate() == slate
    (tmp_path / "slate.toml").unlink()
    assert marking.set_slate(slate) == ""
    assert not (tmp_path / "slate.toml").exists()  # no card is written for what it has


def test_marks_that_wait_are_said_before_what_is_less_grave(marking):
    own: list[Alert | None] = [None]
    for other in (None, PLAIN, ALARM):
        assert marking.alert(lambda other=other: other)() is other
    marking._made = SimpleNamespace(alert=lambda: own[0])
    own[0] = Alert("1 mark waits", Tone.ALARM)
    assert marking.alert(lambda: PLAIN)() is own[0]
    assert marking.alert(lambda: None)() is own[0]
    assert marking.alert(lambda: ALARM)() is ALARM


def test_a_run_without_a_mark_leaves_no_file(marking, tmp_path):
    marking.prepare()
    assert marking.close() == ""
    assert list(tmp_path.iterdir()) == []


def test_a_running_loop_marks_in_every_view_and_keeps_what_its_watch_sees(tmp_path):
    clock = HandClock(10**9, DAY_S)
    marking = Marking(tmp_path / "journal.db", "", clock, tmp_path)
    feed = "bench:size=160x90,noise=0,cloud=8,curve=V-Log,rate=5"
    session = open_session(feed, None, Overrides(), clock=HandClock(10**9), pace=Pace.STEP)
    board = Reader(lambda _shown: None)
    hooks = Hooks(mark=marking.mark)
    state = starting_state(session, REGISTRY.view("watch"))
    loop = ServedLoop(Timed(session.feed, clock), state, board, clock, (), hooks)
    turned_by_hand(loop)
    hooks.turn = lambda _seen: marking.turn(loop, feed)

    def frames(count: int) -> None:
        for _ in range(count):
            loop._take_frame()
            loop._measure_frame()
            loop.turn()

    frames(2)
    for view in range(len(REGISTRY.views())):
        board.presses += [Press.NEXT_VIEW] if view else [Press.SET_PIN]
        frames(2)
        board.presses.append(Press.MARK)
        frames(1)
        assert board.last.note.startswith(("marking", "mark ")), board.last.view.name
        _until_saved(marking)
    while loop.state.view.name != "watch":
        board.presses.append(Press.NEXT_VIEW)
        frames(1)
    board.presses.append(Press.SET_REFERENCE)
    frames(25)
    for _ in range(15):  # three seconds of which the watch sees nothing
        loop._feed.release(loop._feed.read(0.1))
    frames(15)
    assert marking.close() == ""
    session.feed.close()
    with StoreReader(tmp_path / "journal.db") as file:
        assert verify(file).faults == ()
        rows = list(file.heads())
    marks = [row.head["view"] for row in rows if row.kind is RowKind.MARK]
    assert sorted(marks) == sorted(view.name for view in REGISTRY.views())
    told = loop.memories["watch"].following.events
    seen = [row.head["words"] for row in rows if row.kind is RowKind.EVENT]
    assert len(told) > 0
    assert seen[-len(told) :] == [each.event.words for each in told]


def _until_saved(marking: Marking) -> None:
    """Wait for the recorder's thread, which has nothing else to do."""
    for _ in range(400):
        if marking._made is not None and marking._made.waiting == 0:
            return
        threading.Event().wait(0.01)
    raise AssertionError("the recorder did not come to an end")
