from types import SimpleNamespace

import pytest

from firmware.clock import HandClock
from firmware.journal.store import StoreReader
from firmware.live.marking import Marking
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Measured
from tests.marked import DAY_S, SMALL, in_view

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
    state = SimpleNamespace(desk=seen.desk, settings=(("spot", seen.settings),))
    assert marking.mark(measured, state, seen.read_with) == "marking"
    assert marking.close() == ""
    marking.turn(loop, SMALL)
    assert [words.removesuffix(" (clock unset)") for words in loop.said] == ["mark 1 saved"]
    with StoreReader(tmp_path / "journal.db") as file:
        (row,) = file.heads()
    assert (row.head["slate"]["scene"], row.head["slate"]["take"]) == ("4", "2")


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
