"""The kit beside a loop: moments are copied, never waited for; instruments hear of others."""

import sys
from dataclasses import replace

import pytest

from firmware.actions import FromPage, PlaceSpot, Press
from firmware.answers.cleaner import enveloped
from firmware.clock import HandClock
from firmware.errors import KitError
from firmware.health.condition import Condition, Severity, Subject
from firmware.instruments.match.object import object_of
from firmware.instruments.registry import REGISTRY
from firmware.journal.found_again import by_seal
from firmware.journal.slate import Slate
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import verify
from firmware.kit.ear import HeardNow
from firmware.kit.reading import reading_of
from firmware.kit.settings import KitSettings, Wire
from firmware.live.kitting import PATIENCE_NS, WALL_NS, Kitting
from firmware.live.marking import Marking
from firmware.live.run_plan import RunPlan
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert
from overlays.wording.numbers import UNKNOWN
from tests import views
from tests.asking import asked
from tests.brokers import PASSWORDS, Broker
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
    assert kitting.units() is None
    assert not kitting.mark_all(Slate())
    assert kitting.alert(lambda: None)() is None
    kitting.close()


def test_what_is_missing_ends_a_command_and_never_a_unit(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "firmware.kit.post", None)
    clock = HandClock()
    marking = Marking(tmp_path / "journal.db", "", clock)
    plan = RunPlan(view=views.EXPOSE, kit=NOBODY)
    with pytest.raises(KitError, match=r"pip install '.\[kit\]'"):
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


def test_the_wall_is_made_twice_a_second_at_the_most(unit):
    post = unit.kitting._post
    post.heard = (HeardNow("cam-b", presence(), reading(), None, 0),)
    (wall,) = unit.kitting.units()
    assert (wall["unit"], wall["here"], wall["reading"]) == ("cam-b", True, "0.00 ±0.01 st")
    post.heard = ()
    assert len(unit.kitting.units()) == 1
    unit.kitting._objects = (unit.kitting._objects[0] - WALL_NS, unit.kitting._objects[1])
    assert unit.kitting.units() == []


def test_a_mark_on_all_leaves_each_its_camera(unit):
    asked: list[Slate] = []

    def mark_all(slate):
        asked.append(slate)
        return True

    unit.kitting._post.mark_all = mark_all
    assert unit.kitting.mark_all(Slate(scene="1", camera="A"))
    assert asked == [Slate(scene="1")]


# Two units and a real Mosquitto

# Without noise every frame is the same one: what differs then is the way, and nothing else.
SIZE = "bench:size=640x360,cloud=0,noise=0,signal=yuv422-10,rate=5"
FEEDS = {"cam-a": f"{SIZE},curve=V-Log", "cam-b": f"{SIZE},curve=S-Log3,exposure=-0.7"}
PLACES = ((320, 180), (390, 156), (250, 150))


@pytest.fixture
def two(tmp_path):
    broker = Broker(tmp_path / "broker", PASSWORDS, tls=False)
    broker.start()
    units = []
    for name, feed in FEEDS.items():
        made = LoopOfKit(tmp_path / name, broker.settings(name), feed)
        for place in PLACES:
            made.board.presses += [PlaceSpot(*place), Press.SET_PIN]
        made.frames(2)
        units.append(made)
    yield broker, *units
    for each in units:
        each.close()
    broker.kill()


def match_of(unit):
    return unit.board.last.readable.answer


def test_camera_a_is_live_from_another_unit_and_agrees_with_the_same_match_from_files(two):
    broker, a, b = two
    asked_for = asked(
        "match",
        feed_a=FEEDS["cam-a"],
        feed_b=FEEDS["cam-b"],
        at=tuple(f"{x},{y}" for x, y in PLACES),
    )
    both_turn(a, b, lambda: "cam-a" in b.loop.memories["match"].heard.units)
    b.press(Press.NEXT_UNIT)
    both_turn(a, b, lambda: match_of(b) is not None and match_of(b).compared is not None)
    found = match_of(b)
    assert found.compared.a.unit.name == "cam-a"
    match = found.compared.match
    off = abs(match.exposure_stops - asked_for["exposure_stops"])
    assert off <= min(match.exposure_pm, asked_for["exposure_pm"])
    assert match.exposure_pm == pytest.approx(asked_for["exposure_pm"], abs=1e-5)
    assert match.exposure_stops == pytest.approx(0.7, abs=0.05)
    for pair, pin in zip(match.pairs, asked_for["pins"], strict=True):
        differ = zip(pair.rgb_stops, pin["difference_stops"].values(), strict=True)
        pms = zip(pair.rgb_pm, pin["difference_pm"].values(), strict=True)
        for (here, there), (one, other) in zip(differ, pms, strict=True):
            assert here == pytest.approx(there, abs=1e-5)
            assert one == pytest.approx(other, abs=1e-5)
    # What the object of --json says of camera A is what its own unit says.
    made = enveloped(object_of(found))
    assert made["a"]["feed"]["name"].startswith("bench")
    assert made["a"]["profile"]["curve"] == "V-Log"
    assert [row.value for row in b.board.last.report.rows[:1]] == ["cam-a"]

    # It follows what happens to camera A.
    a.kitting.close()
    both_turn(b, b, lambda: match_of(b).compared is None)
    assert "no match now: cam-a was switched off" in b.board.last.report.words
    assert b.board.last.report.main == UNKNOWN
    broker.kill()
    both_turn(b, b, lambda: "the kit is out of reach" in b.board.last.report.words)
    # A picture that is taken is camera A again.
    b.press(Press.SET_REFERENCE)
    b.frames(2)
    assert match_of(b).compared.a.unit is None


def both_turn(a, b, is_so):
    def turned():
        if a is not b:
            a.frames()
        return is_so()

    b.until(turned)


def test_a_mark_of_such_a_match_is_kept_with_its_answer(two):
    _, a, b = two
    both_turn(a, b, lambda: "cam-a" in b.loop.memories["match"].heard.units)
    b.press(Press.NEXT_UNIT)
    both_turn(a, b, lambda: match_of(b) is not None and match_of(b).compared is not None)
    b.press(Press.MARK)
    b.until(lambda: b.marking._made is not None and b.marking._made.saved)
    with StoreReader(b.marking.path) as file:
        (row,) = file.rows()
        found = verify(file)
    # What camera A told stands in the row: all is made again of that and of the codes here.
    assert (found.faults, found.sealed, by_seal(row)) == ((), 0, ())
    assert row.body["made_of"]["source"] == "cam-a"
    assert [each["number"] for each in row.body["made_of"]["pins"]] == [1, 2, 3]
    assert row.body["answer"]["a"]["profile"]["curve"] == "V-Log"
    assert row.body["answer"]["exposure_stops"] == pytest.approx(0.7, abs=0.05)
