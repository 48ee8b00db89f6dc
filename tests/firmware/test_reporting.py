"""The order of work, from the buttons alone, on the bench: chips, advice, pins, match, watch."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.timecode import parse_timecode
from firmware.health.stats import Stats
from firmware.live.measurer import Measurer, orders_of
from firmware.live.state import PlaceSpot, Press, after, first_state
from firmware.profiles.camera_controls import Camera, Limits
from firmware.profiles.shelf import load_profile
from overlays.draw.layout.views import View
from overlays.draw.moment.more import Tone
from overlays.measure.expose.mains import Mains
from overlays.signal.quantities import stops

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
        self.state = first_state((KIT,), 640, 360, View.EXPOSE)
        self.measurer = Measurer(self.clock, Stats())
        self.camera(feed)

    def camera(self, feed):
        self.start_ns = self.clock.now_ns()
        self.feed = BenchFeed(
            f"{SIZE},{feed}{'' if 'signal' in feed else ',signal=yuv422-10'}",
            clock=HandClock(self.start_ns),
            pace=Pace.STEP,
            curve=KIT.curve,
        )

    def press(self, *presses):
        for press in presses:
            self.state = after(self.state, press)
        return self

    def view(self, view):
        while self.state.view is not view:
            self.press(Press.NEXT_VIEW)
        return self

    def pin(self, column, row):
        return self.press(PlaceSpot(column, row), Press.SET_PIN)

    def look(self, frames=1):
        return self.measured(frames).more

    def measured(self, frames):
        measured = None
        for _ in range(frames):
            frame = self.feed.read(1.0)
            self.clock.move((frame.time_ns - self.clock.now_ns()) / 1e9 + 1e-3)
            measured = self.measurer.measure(frame, orders_of(self.state))
            self.feed.release(frame)
        return measured


def test_three_chips_say_what_is_wrong():
    crew = Crew("exposure=-0.8,cloud=0").view(View.CHIPS)
    assert "N sets one" in crew.look(4).report.words
    crew.press(*[Press.SPOT_SMALLER] * 2)
    more = crew.pin(390, 156).pin(320, 180).pin(390, 204).look(4)
    assert [pin.label for pin in more.pins] == ["1", "2", "3"]
    assert "open the lens" in more.report.words
    assert more.report.tone is Tone.ALARM
    assert [row.label for row in more.report.rows] == ["white", "grey", "black"]


def test_advice_is_followed_to_the_target():
    crew = Crew("exposure=1.0,cloud=0").view(View.ADVICE)
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
    crew = Crew("exposure=6,cloud=0").view(View.ADVICE)
    report = crew.look(4).report
    assert "clipped" in report.words
    assert report.rows == ()


def test_pins_give_the_lighting_ratio():
    crew = Crew("cloud=0").view(View.PINS)
    assert "N sets a pin" in crew.look(4).report.words
    report = crew.press(*[Press.SPOT_SMALLER] * 2).pin(390, 156).pin(320, 180).look(4).report
    assert float(report.main) == pytest.approx(2.205, abs=0.03)  # 0.83 against 0.18
    assert report.beside.endswith("4.6:1")


def test_evenness_is_measured_only_where_it_is_asked_for_and_shown():
    crew = Crew("cloud=0").view(View.PINS).pin(310, 170).pin(330, 190)
    assert crew.look(4).evenness is None
    more = crew.press(Press.NEXT_STRIPE).look(4)
    assert more.evenness.map_stops.shape == (6, 6)
    assert more.pins == ()
    assert more.report.heading == "evenness, pins 1 to 2"
    assert crew.view(View.MATCH).look(4).evenness is None


def test_camera_b_is_brought_to_camera_a():
    crew = Crew("cloud=0").view(View.MATCH).press(*[Press.SPOT_SMALLER] * 2)
    crew.pin(390, 156).pin(320, 180)
    assert "press M" in crew.look(4).report.words
    crew.press(Press.MARK)
    a = crew.measured(1)
    assert a.more.report.words.startswith("B agrees with A")
    assert a.more.chroma.gain == 1
    crew.press(Press.NEXT_STRIPE)
    assert crew.look(4).chroma.gain == 2
    crew.camera("cloud=0,exposure=-0.7")
    more = crew.look(4)
    assert (more.ghost.levels == a.census.levels).all()
    assert (more.ghost.chroma == a.census.chroma).all()
    assert float(more.report.main) == pytest.approx(0.7, abs=0.03)
    assert "open B by 0.7" in more.report.words


def test_a_camera_that_sends_rgb_leaves_no_chroma_ghost_and_says_so():
    crew = Crew("cloud=0,signal=rgb").view(View.MATCH).press(*[Press.SPOT_SMALLER] * 2)
    crew.pin(320, 180).press(Press.MARK)
    assert crew.measured(4).census.chroma is None
    crew.camera("cloud=0")
    more = crew.look(4)
    assert more.ghost.chroma is None
    assert any("R'G'B'" in note for note in more.report.notes)


def test_the_watch_goes_on_in_other_views_and_tells_what_happened():
    crew = Crew("cloud=0").view(View.WATCH)
    crew.pin(320, 180)
    assert crew.look(4).report.words == "learning the mark"
    more = crew.look(40)
    assert more.report.words == "steady"
    assert more.strip.lanes[0].label == "1"
    crew.view(View.READING).look(5)
    crew.camera("cloud=0,exposure=-0.5")
    crew.look(100)
    more = crew.view(View.WATCH).look(10)
    (event, *_) = more.report.rows
    assert "step −0.5" in event.value.replace("-", "−")
    assert event.label.count(":") == 2  # the time of day
    assert len(more.strip.lanes[0].events) == 1
    assert float(more.report.main.replace("−", "-")) == pytest.approx(-0.5, abs=0.03)
    assert more.report.tone is Tone.ALARM
    # A new mark begins anew.
    crew.press(Press.MARK)
    more = crew.look(60)
    assert more.report.rows == ()
    assert abs(float(more.report.main.replace("−", "-"))) < 0.03


def test_events_of_footage_carry_its_time_code():
    crew = Crew("cloud=0").view(View.WATCH).pin(320, 180)
    code, feed = parse_timecode("10:00:00:00", 10.0), None

    class Labelled:
        """The bench as if it came from a file."""

        @staticmethod
        def release(frame):
            feed.release(frame)

        @staticmethod
        def read(timeout_s):
            frame = feed.read(timeout_s)
            return replace(frame, timecode=code.at(frame.number))

    feed, crew.feed = crew.feed, Labelled
    crew.look(40)
    crew.camera("cloud=0,exposure=-0.5")
    code, feed, crew.feed = parse_timecode("10:00:04:00", 10.0), crew.feed, Labelled
    (event, *_) = crew.look(80).report.rows
    assert event.label in {"10:00:04:00", "10:00:04:01"}


def test_views_without_a_report_show_none_and_cost_none():
    crew = Crew("cloud=0").view(View.PICTURE)
    assert crew.look(4) is None


def test_a_pin_that_a_smaller_picture_does_not_have_is_left_out():
    crew = Crew("cloud=0").view(View.WATCH)
    crew.state = replace(crew.state, columns=1280, rows=720)
    crew.pin(1200, 700).pin(100, 100)
    more = crew.look(4)
    assert len(more.strip.lanes) == 1
    assert isinstance(more.pins, tuple)
    assert np.isfinite(crew.state.columns)
