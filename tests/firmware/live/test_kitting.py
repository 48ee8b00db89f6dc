"""The kit beside a loop: moments are copied, never waited for; instruments hear of others."""

import sys
from dataclasses import replace

import pytest

from firmware.actions import FromPage, PlaceSpot, Press
from firmware.clock import HandClock
from firmware.errors import KitError
from firmware.health.condition import Condition, Severity, Subject
from firmware.instruments.registry import REGISTRY
from firmware.kit.ear import HeardNow
from firmware.kit.reading import reading_of
from firmware.kit.settings import KitSettings, Wire
from firmware.live.kitting import PATIENCE_NS, Kitting, heard_unit
from firmware.live.marking import Marking
from firmware.live.run_plan import RunPlan
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert
from tests import views
from tests.firmware.live.test_loop import PaperBoard
from tests.kit_messages import presence, reading
from tests.kit_units import LoopOfKit

NOBODY = KitSettings("cam-a", "192.0.2.1", 1883, "nobody is there", Wire.PLAIN)  # RFC 5737


class Post:
    """One that is always up, and keeps what it is left."""

    settings = NOBODY

    def __init__(self):
        self.moments, self.is_up, self.wants_moment, self.trouble, self.asked = (
            [],
            True,
            True,
            "",
            0,
        )
        self.ear = self
        self.heard = ()

    def units(self):
        return self.heard

    def leave_moment(self, moment):
        self.moments.append(moment)

    def take_marks_asked(self):
        count, self.asked = self.asked, 0
        return count

    def close(self):
        pass


@pytest.fixture
def unit(tmp_path, monkeypatch):
    monkeypatch.setattr(Kitting, "_open", lambda self, *_: setattr(self, "_post", Post()))
    made = LoopOfKit(tmp_path, NOBODY, "bench:size=160x90,noise=0,rate=5")
    yield made
    made.close()


def test_a_unit_without_a_kit_loads_nothing_of_it(tmp_path):
    clock, board = HandClock(), PaperBoard()
    marking = Marking(tmp_path / "journal.db", "", clock)
    kitting = Kitting(RunPlan(view=views.EXPOSE), clock, marking, pytest.fail)
    assert kitting.board(board) is board
    assert (kitting.post, kitting.said, kitting.actions()) == (None, (), [])
    assert kitting.alert(lambda: None)() is None
    kitting.close()


def test_what_is_missing_ends_a_command_and_never_a_unit(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "firmware.kit.post", None)
    clock = HandClock()
    marking = Marking(tmp_path / "journal.db", "", clock)
    plan = RunPlan(view=views.EXPOSE, kit=NOBODY)
    with pytest.raises(KitError, match=r"pip install 'midgrey\[kit\]'"):
        Kitting(plan, clock, marking, print)
    said: list[str] = []
    unit = Kitting(replace(plan, is_service=True), clock, marking, said.append)
    assert unit.said == tuple(said)
    assert unit.post is None


def test_a_moment_is_published_with_frame_pins_and_side(unit):
    unit.board.presses += [PlaceSpot(40, 40), Press.SET_PIN, PlaceSpot(100, 60), Press.SET_PIN]
    unit.frames(3)
    moment = unit.kitting._post.moments[-1]
    made = reading_of(moment, "cam-a", "0" * 32, 1)
    assert made.believed
    assert [(pin.number, pin.x, pin.y) for pin in made.pins] == [(1, 40, 40), (2, 100, 60)]
    scene_pins = unit.loop._current.frame, unit.loop._current.yard
    assert scene_pins[0].planes[0] is not moment.picture.frame.planes[0]
    assert made.camera.feed.startswith("bench")
    assert made.camera.simulated
    assert made.spot.number == 1
    assert made.watch == ""


def test_without_pins_the_spot_stands_for_the_first(unit):
    unit.frames(2)
    made = reading_of(unit.kitting._post.moments[-1], "cam-a", "0" * 32, 1)
    (pin,) = made.pins
    assert (pin.number, pin.x, pin.y) == (1, made.spot.x, made.spot.y)


def test_a_watch_that_goes_on_is_said_in_any_view(unit):
    unit.press(Press.SET_PIN)
    while unit.board.last.view.name != "watch":
        unit.press(Press.NEXT_VIEW)
    unit.press(Press.SET_REFERENCE)
    unit.frames(3)
    unit.press(Press.NEXT_VIEW)
    assert unit.kitting._post.moments[-1].watch != ""


def test_nothing_is_copied_while_nobody_would_be_sent_it(unit):
    unit.kitting._post.wants_moment = False
    unit.frames(3)
    assert unit.kitting._post.moments == []


def test_what_fails_at_the_kit_takes_nothing_along(unit, capsys):
    def fail(_moment):
        raise RuntimeError("no")

    unit.kitting._post.leave_moment = fail
    unit.frames(3)
    assert unit.board.last.readable is not None
    assert capsys.readouterr().err.count("the kit has failed") == 1


def test_a_mark_that_the_kit_asks_for_is_a_phones(unit):
    unit.kitting._post.asked = 2
    assert unit.kitting.actions() == [FromPage(Press.MARK)] * 2


def test_a_kit_out_of_reach_is_said_after_a_while_and_below_all_else(tmp_path, monkeypatch):
    clock, post = HandClock(10**12), Post()
    marking = Marking(tmp_path / "journal.db", "", clock)
    kitting = Kitting(RunPlan(view=views.EXPOSE), clock, marking, print)
    post.is_up, post.trouble = False, "the broker cannot be reached"
    monkeypatch.setattr(kitting, "_post", post)
    hot = Alert("hot", Tone.ALARM)
    assert kitting.alert(lambda: None)() is None
    clock.move(PATIENCE_NS / 1e9)
    assert kitting.alert(lambda: None)() == Alert("kit: the broker cannot be reached")
    assert kitting.alert(lambda: hot)() is hot


def test_health_is_handed_on(unit):
    found = (Condition(Subject.CARD, Severity.FINE, "fine"),)
    unit.kitting.look(found)
    assert unit.kitting._conditions == found


@pytest.mark.parametrize(
    ("heard", "is_up", "why"),
    [
        (HeardNow("cam-b", presence(), reading(), None, 10**8), True, ""),
        (HeardNow("cam-b", presence(), reading(), None, 9 * 10**9), True, "was last heard 9 s ago"),
        (HeardNow("cam-b", presence(), reading(), None, None), True, "cam-b was not heard yet"),
        (HeardNow("cam-b", presence(online=False), reading(), None, 0), True, "cam-b is cut off"),
        (HeardNow("cam-b", presence(), reading(), None, 10**8), False, "out of reach"),
        (
            HeardNow("cam-b", presence(), reading(believed=False, state="stale"), None, 10**8),
            True,
            "has no picture that can be read: stale",
        ),
    ],
)
def test_why_nothing_of_a_unit_can_be_compared(heard, is_up, why):
    found = heard_unit(heard, is_up=is_up)
    assert why in found.why_not
    assert bool(found.why_not) is bool(why)
    assert sorted(found.spots) == list(range(1, 10))


def test_instruments_are_told_of_all_but_the_unit_itself(unit, monkeypatch):
    told = []
    match = next(each for each in REGISTRY if each.name == "match")
    monkeypatch.setattr(type(match), "hear", lambda _self, _memory, heard: told.append(heard))
    unit.kitting._post.heard = tuple(
        HeardNow(name, presence(name), reading(name), None, 0) for name in ("cam-a", "cam-b")
    )
    unit.kitting._heard_ns = 0
    unit.frames(1)
    assert [*told[-1].units] == ["cam-b"]
    assert told[-1].is_kit
