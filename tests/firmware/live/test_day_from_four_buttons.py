"""The whole morning through gpiozero's own mock pins, with the pin map that ships, press by press.

Nothing is done but closing and opening the four contacts. How many presses a task takes is counted
and compared with the table in hardware/README.md: a press that is held counts as one.
"""

import re

import pytest
from gpiozero.pins.mock import MockFactory, MockPin

from firmware.clock import HandClock
from firmware.controls.buttons import Buttons
from firmware.controls.gpio_map import read_pins, shipped_pins
from firmware.controls.holding import AGAIN_NS, LONG_NS
from firmware.controls.panel import ButtonPanel
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.instruments.registry import REGISTRY
from firmware.live.hands import REST_NS
from firmware.live.loop import Loop
from firmware.live.railing import page_of
from firmware.live.state import first_state
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.layers import EvennessMap
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Face
from overlays.signal.frame import Frame
from tests.golden.playing import turned_by_hand
from tests.moments import Reader
from tests.places import ROOT

PROFILE = load_profile("log-v")
ROOM = "size=640x360,signal=yuv422-10,rate=5,kelvin=3200,cloud=0,gamut=V-Gamut"
START_DIAL = 5600


class Camera:
    """A bench that is set anew whenever the person follows an advice; one feed to the loop."""

    def __init__(self, clock):
        self.clock, self.of = clock, {}
        self.set(START_DIAL, -0.8)

    def set(self, dial, exposure):
        text, clock = f"{ROOM},dial={dial},exposure={exposure}", HandClock(self.clock.now_ns())
        self.bench = BenchFeed(text, clock=clock, pace=Pace.STEP, curve=PROFILE.curve)

    @property
    def info(self):
        return self.bench.info

    def read(self, timeout_s):
        frame = self.bench.read(timeout_s)
        assert isinstance(frame, Frame)
        self.clock.move((frame.time_ns - self.clock.now_ns()) / 1e9 + 1e-3)
        self.of[frame.time_ns] = self.bench
        return frame

    def release(self, frame):
        self.of[frame.time_ns].release(frame)


class Person:
    """Alone with four buttons: closes contacts, and reads what stands on the screen."""

    def __init__(self, factory, *, frames=True):
        self.frames = frames
        self.factory, self.pins = factory, read_pins(shipped_pins()).rail
        self.clock = HandClock(10**9, wall_start_s=1_700_000_000.0)
        self.camera = Camera(self.clock)
        self.reader = Reader(lambda _shown: None)
        self.buttons = Buttons(read_pins(shipped_pins()), factory, self.clock)
        state = first_state((PROFILE,), self.camera.info, REGISTRY.view(None))
        board = ButtonPanel(self.reader, self.buttons)
        self.loop = turned_by_hand(Loop(self.camera, state, board, self.clock))
        self.presses = self.in_all = 0
        self.look()

    def look(self, frames=4):
        for _ in range(frames):
            self.loop._take_frame()
            self.loop._measure_frame()
            self.loop.turn()
        return self.reader.last

    def press(self, button, goes_on=0, *, long=False):
        """Close a contact and open it again, after half a second or more where it is held."""
        self.presses, self.in_all = self.presses + 1, self.in_all + 1
        pin = self.factory.pin(self.pins[button - 1])
        pin.drive_low()
        self.turn()
        if long or goes_on:
            self.wait(LONG_NS)
        for _ in range(goes_on - 1):
            self.wait(AGAIN_NS)
        pin.drive_high()
        self.turn()

    def turn(self):
        """The loop looks once more, with a frame or, where none matters, without."""
        if self.frames:
            self.look(1)
        else:
            self.loop.turn()

    def wait(self, ns):
        """Frames go on coming meanwhile."""
        if not self.frames:
            self.clock.move(ns / 1e9)
            self.loop.turn()
            return
        end = self.clock.now_ns() + ns
        while self.clock.now_ns() < end:
            self.look(1)

    def do(self, *labels, times=1):
        """Press what bears a label, held where that stands in the lower line."""
        for label in labels:
            for number, slot in enumerate(page_of(self.loop.state), start=1):
                if slot.pressed is not None and slot.pressed.label == label:
                    self.press(number, times if times > 1 else 0)
                    break
                if slot.held is not None and slot.held.label == label:
                    self.press(number, long=True)
                    break
            else:
                raise AssertionError(f"{label} is not on the rail: {page_of(self.loop.state)}")

    def rest(self):
        """Nobody presses anything for a while."""
        self.wait(REST_NS)

    def counted(self, *labels):
        """Presses of a task, from the first page of the rail."""
        self.presses = 0
        self.do(*labels)
        return self.presses

    @property
    def state(self):
        return self.loop.state

    @property
    def report(self):
        return self.reader.last.measured.said.report


@pytest.fixture
def factory():
    made = MockFactory(pin_class=MockPin)
    yield made
    made.reset()


def table():
    """Presses of each task as the docs have them."""
    text = (ROOT / "hardware/README.md").read_text()
    return {
        name: int(count)
        for name, count in re.findall(r"^\| ([^|]+) \| (\d+) \|$", text, re.MULTILINE)
    }


def test_what_is_done_most_is_nearest(factory):
    me, counts = Person(factory), table()
    assert me.counted("grey card") == counts["the spot on the grey card"] <= 3
    assert me.look().measured.place.column == pytest.approx(320, abs=30)
    me.buttons.close()
    me = Person(factory)
    assert me.counted("brightest") == counts["the spot on the brightest thing"] == 1
    measured = me.look().measured
    lies = measured.range.brightest
    assert (measured.place.column, measured.place.row) == (lies.column, lies.row)


def test_every_view_is_two_presses_from_every_other(factory):
    me, counts = Person(factory, frames=False), table()
    names = [view.name for view in REGISTRY.views()]
    for start in names:
        for wanted in names:
            me.do(*way_to(start, me))
            assert me.state.view.name == start
            assert me.counted(*way_to(wanted, me)) == counts["any view"] == 2
            assert me.state.view.name == wanted


def way_to(view, me):
    """The two labels: the index holds eight views, what is beside it the rest."""
    names = [each.name for each in me.state.registry.views()]
    return ("views ›" if names.index(view) < 8 else "more ›", view)


def test_a_press_acts_also_while_the_rail_rests(factory):
    me = Person(factory)
    me.do("views ›")
    me.rest()
    assert me.reader.last.rail == ()
    me.press(2)  # the first page is the one that rests
    shown = me.look()
    assert "card" in shown.note
    assert shown.rail != ()


def test_a_whole_morning(factory):
    me, found = Person(factory), {}

    def task(name, *labels):
        found[name] = me.counted(*labels)
        return me.look()

    task("balance: tell what the camera is set to", *way_to("balance", me), "balance ›", "dial +")
    dial = int(re.search(r"dial (\d+) K", me.report.words)[1])
    assert dial == pytest.approx(3200, abs=50)
    me.camera.set(dial, -0.8)
    me.look()
    assert "in tolerance" in me.report.words
    me.do("done")

    opened = chips(me, found)
    me.camera.set(dial, round(-0.8 + opened, 2))
    me.look()
    assert "where they belong" in me.report.words

    shown = task("expose: the view with range and stripes", *way_to("expose", me))
    assert shown.measured.range.brightest.stops == pytest.approx(6.0, abs=0.1)
    assert shown.measured.range.footroom_stops > 2.0

    before = shown.stripes[1]
    shown = task("stripes: the second one a step up", "expose ›", "next stripe", "stripe +")
    assert shown.stripes[1].words != before.words
    me.do("done")
    assert not task("stripes: off", "stripes off").painted
    me.do("stripes on")

    task("pins: the lighting ratio of two", *way_to("pins", me))
    assert me.report.heading == "lighting ratio"
    shown = task("pins: evenness instead", "pins ›", "evenness")
    assert shown.measured.said.layer(EvennessMap) is not None
    me.do("ratios", "done")

    task("chart: found and read", *way_to("chart", me))
    me.look(12)
    assert float(me.report.main) < 2.0

    task("match: take camera A", *way_to("match", me), "take camera A")
    assert me.report.main == "0.00 st"  # against itself

    task("watch: from now on", *way_to("watch", me), "set reference")
    me.look(30)
    assert me.report.tone is Tone.PLAIN
    me.camera.set(dial, round(-0.8 + opened - 0.4, 2))  # someone touched the iris
    me.look(40)
    assert me.report.tone is Tone.ALARM
    assert any("step" in row.value for row in me.report.rows)

    assert task("hold the picture", "hold").face is Face.HELD
    me.do("go on")
    task("mark: the readings into the journal", "mark")
    assert me.state.marks == 1

    assert me.in_all == table()["the whole morning"]
    assert found == {name: count for name, count in table().items() if name in found}


def test_the_panel_itself_is_set_from_the_buttons(factory):
    me = Person(factory)
    way = "more ›", "monitor ›", "turn ›", "line up ›"
    assert me.counted(*way) == table()["line up the panel itself"]
    assert me.look().lineup == Lineup(0)
    me.do("brighter", "next step")
    assert (me.look().lineup, me.state.lights) == (Lineup(1), 1)
    me.rest()
    assert me.look().lineup == Lineup(1)
    me.do("done")
    assert me.look().lineup is None


def chips(me, found):
    """A pin on each of three chips; by how much to open the lens."""
    before = me.in_all
    me.do(*way_to("chips", me), "to chips")
    found["chips: a pin on each of the three"] = me.in_all - before
    me.look()
    assert me.report.tone is Tone.ALARM
    return float(re.search(r"open the lens by ([\d.]+) st", me.report.words)[1])
