"""One morning on the bench from the buttons alone: from balance to watch.

The camera is a bench that is set anew whenever the person follows an advice; nothing else happens
but presses.
"""

import re

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.health.stats import Stats
from firmware.instruments.registry import REGISTRY
from firmware.live.measurer import Measurer
from firmware.live.orders import orders_of
from firmware.live.state import after, first_state
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.layers import EvennessMap
from overlays.draw.moment.report import Tone
from tests import views

PROFILE = load_profile("log-v")
ROOM = "size=640x360,signal=yuv422-10,rate=10,kelvin=3200,cloud=0,gamut=V-Gamut"
WHITE, GREY, BLACK = (390, 156), (320, 180), (390, 204)
STEPS = {
    ("column", 1): Press.SPOT_RIGHT_FINE,
    ("column", -1): Press.SPOT_LEFT_FINE,
    ("row", 1): Press.SPOT_DOWN_FINE,
    ("row", -1): Press.SPOT_UP_FINE,
}


class Operator:
    """Alone with one camera, pressing buttons and reading the screen."""

    def __init__(self):
        self.clock = HandClock(wall_start_s=1_700_000_000.0)
        self.measurer = Measurer(self.clock, Stats(), REGISTRY)
        self.state, self.feed = None, None

    def set_camera(self, dial, exposure):
        text = f"{ROOM},dial={dial},exposure={exposure}"
        clock = HandClock(self.clock.now_ns())
        self.feed = BenchFeed(text, clock=clock, pace=Pace.STEP, curve=PROFILE.curve)
        if self.state is None:
            self.state = first_state((PROFILE,), self.feed.info, views.EXPOSE)

    def press(self, *presses):
        for press in presses:
            self.state = after(self.state, press)

    def turn_to(self, view):
        while self.state.view != view:
            self.press(Press.NEXT_VIEW)

    def walk_to(self, place):
        for axis, wanted in zip(("column", "row"), place, strict=True):
            while (now := getattr(self.state.spot, axis)) != wanted:
                self.press(STEPS[axis, 1 if wanted > now else -1])

    def look(self, frames=4):
        measured = None
        orders = orders_of(self.state, read_with(self.state.in_use, self.feed.info))
        for _ in range(frames):
            frame = self.feed.read(1.0)
            self.clock.move((frame.time_ns - self.clock.now_ns()) / 1e9 + 1e-3)
            measured = self.measurer.measure(frame, orders)
            self.feed.release(frame)
        return measured


def test_a_morning_from_balance_to_watch():
    me = Operator()
    me.set_camera(dial=5600, exposure=-0.8)

    me.turn_to(views.BALANCE)
    me.press(Press.STRIPE_UP)  # tells midgrey that the camera stands at 5600 K
    said = me.look().said.report.words
    dial = int(re.search(r"dial (\d+) K", said)[1])
    assert dial == pytest.approx(3200, abs=50)
    me.set_camera(dial, exposure=-0.8)
    assert "in tolerance" in me.look().said.report.words

    me.turn_to(views.CHIPS)
    me.press(Press.SPOT_SMALLER, Press.SPOT_SMALLER)
    for chip in (WHITE, GREY, BLACK):
        me.walk_to(chip)
        me.press(Press.SET_PIN)
    report = me.look().said.report
    assert report.tone is Tone.ALARM
    opened = float(re.search(r"open the lens by ([\d.]+) st", report.words)[1])
    me.set_camera(dial, exposure=round(-0.8 + opened, 2))
    assert "where they belong" in me.look().said.report.words

    me.turn_to(views.EXPOSE)
    measured = me.look()
    # the bench's sensor gives out at +6 stops: V-Log's top is +8, and midgrey says so
    assert measured.range.brightest.stops == pytest.approx(6.0, abs=0.1)
    assert any("found from the picture" in warning for warning in measured.range.warnings)
    assert measured.range.footroom_stops > 2.0

    before = measured.stripes[1]
    me.press(Press.NEXT_STRIPE, Press.STRIPE_UP)
    after_press = me.look().stripes[1]
    assert before.words != after_press.words
    assert 0.02 < after_press.share < 0.1

    me.turn_to(views.PINS)
    me.press(Press.NEXT_STRIPE)  # how even is the light on the grey card?
    for corner in ((300, 150), (340, 210)):
        me.walk_to(corner)
        me.press(Press.SET_PIN)
    measured = me.look()
    place = measured.said.layer(EvennessMap).even.place
    assert place.left < 300
    assert place.left + place.size > 340
    assert float(measured.said.report.main.removeprefix("±")) < 0.05
    me.press(Press.LIFT_PIN, Press.LIFT_PIN, Press.NEXT_STRIPE)

    me.turn_to(views.WATCH)
    me.press(Press.SET_REFERENCE)
    assert me.look(60).said.report.tone is Tone.PLAIN
    me.set_camera(dial, exposure=round(-0.8 + opened - 0.4, 2))  # someone touched the iris
    report = me.look(80).said.report
    assert report.tone is Tone.ALARM
    assert any("step" in row.value and "-0.4" in row.value for row in report.rows)
