"""The order of work, from the buttons alone, on the bench: chips, advice, pins, match, watch."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.timecode import parse_timecode
from firmware.health.stats import Stats
from firmware.instruments.registry import REGISTRY
from firmware.live.measurer import Measurer
from firmware.live.orders import orders_of
from firmware.live.state import after, first_state
from firmware.opening.read_with import read_with
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.layers import ChromaShown, EvennessMap, Ghost, PinFlags, Strip
from overlays.draw.moment.report import Tone
from overlays.measure.expose.mains import Mains
from overlays.signal.frame import Frame
from overlays.signal.quantities import stops
from overlays.wording.numbers import UNKNOWN
from tests import views

KIT = replace(
    load_profile("log-v"),
    clip=stops(6.0),
    camera=Camera(
        25.0,
        Mains.HZ50,
        aperture=Limits("4", "2.8", "16"),
        iso=Limits("800", "400", "6400"),
        shutter=Limits("180 deg"),
    ),
)
SIZE = "size=640x360,rate=10"


class Crew:
    """Someone at the buttons, with a camera that can be exchanged."""

    def __init__(self, feed):
        self.clock = HandClock(wall_start_s=1_700_000_000.0)
        self.measurer = Measurer(self.clock, Stats(), REGISTRY)
        self.camera(feed)
        self.state = first_state((KIT,), self.info, views.EXPOSE)

    def camera(self, feed):
        self.start_ns = self.clock.now_ns()
        self.feed = BenchFeed(
            f"{SIZE},{feed}{'' if 'signal' in feed else ',signal=yuv422-10'}",
            clock=HandClock(self.start_ns),
            pace=Pace.STEP,
            curve=KIT.curve,
        )
        self.info = self.feed.info

    def press(self, *presses):
        for press in presses:
            self.state = after(self.state, press)
        return self

    def view(self, view):
        while self.state.view != view:
            self.press(Press.NEXT_VIEW)
        return self

    def pin(self, column, row):
        return self.press(PlaceSpot(column, row), Press.SET_PIN)

    def look(self, frames=1):
        return self.measured(frames).said

    def measured(self, frames):
        measured = None
        for _ in range(frames):
            frame = self.feed.read(1.0)
            assert isinstance(frame, Frame)
            self.clock.move((frame.time_ns - self.clock.now_ns()) / 1e9 + 1e-3)
            orders = orders_of(self.state, read_with(self.state.in_use, self.info))
            measured = self.measurer.measure(frame, orders)
            self.feed.release(frame)
        return measured


@pytest.mark.parametrize(("under", "black"), [(0.8, "unsure"), (1.5, "OFF")])
def test_three_chips_say_what_is_wrong(under, black):
    # 0.8 st under, the black chip reads 0.7 st off where 0.6 are fine: within its ± it may be.
    crew = Crew(f"exposure=-{under},cloud=0").view(views.CHIPS)
    assert "set a pin on the white" in crew.look(4).report.words
    crew.press(*[Press.SPOT_SMALLER] * 2)
    said = crew.pin(390, 156).pin(320, 180).pin(390, 204).look(4)
    assert [pin.label for pin in said.layer(PinFlags).pins] == ["1", "2", "3"]
    assert "open the lens" in said.report.words
    assert said.report.tone is Tone.ALARM
    assert [row.label for row in said.report.rows] == ["white, OFF", "grey, OFF", f"black, {black}"]


def test_advice_is_followed_to_the_target():
    crew = Crew("exposure=1.0,cloud=0").view(views.EXPOSE)
    report = crew.look(4).report
    assert report.main == "+1.00"
    assert report.words.startswith("close to f/5.6 (3 steps from f/4)")
    assert any("then brightest" in row.label for row in report.rows)
    # The crew closes the lens, tells the monitor so, and reads again.
    crew.camera("exposure=0.0,cloud=0")
    report = crew.press(*[Press.STRIPE_DOWN] * 3).look(4).report
    assert report.rows[0].label == "f/5.6"
    assert report.words.startswith("leave it")


def test_a_clipped_spot_has_no_advice():
    crew = Crew("exposure=6,cloud=0").view(views.EXPOSE)
    report = crew.look(4).report
    assert "clipped" in report.words
    assert report.rows == ()


def test_pins_give_the_lighting_ratio():
    crew = Crew("cloud=0").view(views.PINS)
    assert "set a pin on the lit side" in crew.look(4).report.words
    report = crew.press(*[Press.SPOT_SMALLER] * 2).pin(390, 156).pin(320, 180).look(4).report
    assert float(report.main) == pytest.approx(2.205, abs=0.03)  # 0.83 against 0.18
    assert report.beside.endswith("4.6:1")


def test_evenness_is_measured_only_where_it_is_asked_for_and_shown():
    crew = Crew("cloud=0").view(views.PINS).pin(310, 170).pin(330, 190)
    assert crew.look(4).layer(EvennessMap) is None
    said = crew.press(Press.NEXT_STRIPE).look(4)
    assert said.layer(EvennessMap).even.map_stops.shape == (6, 6)
    assert said.layer(PinFlags) is None
    assert said.report.heading == "evenness, pins 1 to 2"
    assert crew.view(views.MATCH).look(4).layer(EvennessMap) is None


def test_camera_b_is_brought_to_camera_a():
    crew = Crew("cloud=0").view(views.MATCH).press(*[Press.SPOT_SMALLER] * 2)
    crew.pin(390, 156).pin(320, 180)
    assert "show camera A and press “take camera A”" in crew.look(4).report.words
    crew.press(Press.SET_REFERENCE)
    a = crew.measured(1)
    assert a.said.report.words.startswith("B agrees with A")
    assert a.said.layer(ChromaShown).gain == 1
    crew.press(Press.NEXT_STRIPE)
    assert crew.look(4).layer(ChromaShown).gain == 2
    crew.camera("cloud=0,exposure=-0.7")
    said = crew.look(4)
    ghost = said.layer(Ghost)
    assert (ghost.levels == a.census.levels).all()
    assert (ghost.chroma == a.census.chroma).all()
    assert said.report.main.endswith(" st")
    assert float(said.report.main.removesuffix(" st")) == pytest.approx(0.7, abs=0.03)
    assert "open B by 0.7" in said.report.words


def test_a_camera_that_sends_rgb_leaves_no_chroma_ghost_and_says_so():
    crew = Crew("cloud=0,signal=rgb").view(views.MATCH).press(*[Press.SPOT_SMALLER] * 2)
    crew.pin(320, 180).press(Press.SET_REFERENCE)
    assert crew.measured(4).census.chroma is None
    crew.camera("cloud=0")
    said = crew.look(4)
    assert said.layer(Ghost).chroma is None
    assert any("R'G'B'" in note for note in said.report.notes)


def test_a_pin_that_does_not_count_in_a_match_says_why():
    # At this exposure the black card has no light above black, on either camera.
    crew = Crew("cloud=0,exposure=-8").view(views.MATCH).press(*[Press.SPOT_SMALLER] * 2)
    crew.pin(390, 204).pin(390, 156).press(Press.SET_REFERENCE).look(4)
    crew.camera("cloud=0,exposure=-9")
    report = crew.look(4).report
    assert [row.label for row in report.rows] == ["A was taken", "1", "2 add, RGB"]
    assert "too dark" in report.rows[1].value
    assert report.main.endswith(" st")
    assert float(report.main.removesuffix(" st")) == pytest.approx(1.0, abs=0.2)


def test_a_match_goes_by_the_dial_that_was_told_on_the_screen():
    crew = Crew("cloud=0,kelvin=3200,dial=3200").view(views.MATCH)
    crew.press(*[Press.SPOT_SMALLER] * 2).pin(320, 180).press(Press.SET_REFERENCE).look(4)
    crew.camera("cloud=0,kelvin=3200,dial=4300")

    def dial_to():
        return crew.view(views.MATCH).measured(4).answer.compared.match.dial_to

    assert dial_to() is None
    crew.view(views.BALANCE).press(Press.STRIPE_UP, *[Press.STRIPE_DOWN] * 13)  # from 5600 K
    assert crew.state.desk.dial_kelvin == 4300.0
    assert dial_to() == pytest.approx(3200.0, abs=50.0)


def test_the_newest_events_of_a_watch_stand_first():
    crew = Crew("cloud=0").view(views.WATCH).pin(320, 180)
    instrument = REGISTRY.in_view(views.WATCH)
    crew.look(40)
    crew.camera("cloud=0,exposure=-0.5")
    answer = crew.measured(80).answer
    (told,) = answer.events
    events = tuple(replace(told, shown=f"12:00:{n:02d}") for n in range(9))
    rows = instrument.report(replace(answer, events=events)).rows
    assert [row.label for row in rows] == [f"12:00:{n:02d}" for n in range(8, 2, -1)]


def test_a_watch_that_never_began_has_no_number():
    report = REGISTRY.in_view(views.WATCH).report
    answer = Crew("cloud=0").view(views.WATCH).measured(4).answer
    assert report(replace(answer, mood=None, worst=None)).main == UNKNOWN
    assert report(answer).words == "learning the reference"


def test_the_watch_goes_on_in_other_views_and_tells_what_happened():
    crew = Crew("cloud=0").view(views.WATCH)
    crew.pin(320, 180)
    assert crew.look(4).report.words == "learning the reference"
    said = crew.look(40)
    assert said.report.words == "steady"
    assert said.layer(Strip).lanes[0].label == "1"
    crew.view(views.TARGET).look(5)
    crew.camera("cloud=0,exposure=-0.5")
    crew.look(100)
    said = crew.view(views.WATCH).look(10)
    (event, *_) = said.report.rows
    assert "step −0.5" in event.value.replace("-", "−")
    assert event.label.count(":") == 2  # the time of day
    assert len(said.layer(Strip).lanes[0].events) == 1
    assert float(said.report.main.replace("−", "-")) == pytest.approx(-0.5, abs=0.03)
    assert said.report.tone is Tone.ALARM
    # A new mark begins anew.
    crew.press(Press.SET_REFERENCE)
    said = crew.look(60)
    assert said.report.rows == ()
    assert abs(float(said.report.main.replace("−", "-"))) < 0.03


def test_events_of_footage_carry_its_time_code():
    crew = Crew("cloud=0").view(views.WATCH).pin(320, 180)
    code, feed = parse_timecode("10:00:00:00", 10.0), crew.feed

    class Labelled:
        """The bench as if it came from a file."""

        @staticmethod
        def release(frame):
            feed.release(frame)

        @staticmethod
        def read(timeout_s):
            frame = feed.read(timeout_s)
            return replace(frame, timecode=code.at(frame.number))

    crew.feed = Labelled
    crew.look(40)
    crew.camera("cloud=0,exposure=-0.5")
    code, feed, crew.feed = parse_timecode("10:00:04:00", 10.0), crew.feed, Labelled
    (event, *_) = crew.look(80).report.rows
    assert event.label in {"10:00:04:00", "10:00:04:01"}


def test_views_without_a_report_show_none_and_cost_none():
    crew = Crew("cloud=0").view(views.PICTURE)
    said = crew.look(4)
    assert said.report is None
    assert said.layers == ()


def test_a_pin_that_a_smaller_picture_does_not_have_is_left_out():
    crew = Crew("cloud=0").view(views.WATCH)
    crew.state = replace(crew.state, columns=1280, rows=720)
    crew.pin(1200, 700).pin(100, 100)
    said = crew.look(4)
    assert len(said.layer(Strip).lanes) == 1
    assert [flag.label for flag in said.layer(PinFlags).pins] == ["1", "2"]
    assert np.isfinite(crew.state.columns)
