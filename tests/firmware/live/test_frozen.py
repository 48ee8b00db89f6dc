"""Nothing frozen passes for live: each stage is really hung, in its real thread, and the screen's
pixels are looked at. How soon is shown with a clock moved by hand, where no load of the machine
comes between."""

import contextlib
import threading
import time
from types import SimpleNamespace
from typing import Any

import numpy as np
import pygame
import pytest

from firmware.actions import Press
from firmware.clock import HandClock, SystemClock
from firmware.controls.lamp import Glow, glow_of
from firmware.controls.lamp_keeper import LampKeeper
from firmware.feeds.base import FeedState
from firmware.live import measurer
from firmware.live.hooks import Hooks
from firmware.live.loop import Loop
from firmware.live.oversight import Oversight
from firmware.live.state import first_state
from firmware.profiles.shelf import load_profile
from firmware.system.compiling import Compiling
from firmware.system.threads import Newest
from overlays.draw.layout.layouts import layout
from overlays.draw.layout.theme import AMBER, GROUND, RED_WORDS
from overlays.draw.moment.shown import Face
from overlays.draw.painter import MASKS, Painter
from overlays.measure.counting.census import take_census
from tests import views

SIZE = (480, 320)
STANDARD = load_profile("standard")
PATIENCE_S = 60.0
"""Of a test on a loaded machine; how soon things are shown is asked with a clock moved by hand."""


class Eye:
    """A screen whose flips are kept as pixels; its flip can be hung."""

    def __init__(self):
        self.surface = pygame.Surface(SIZE, 0, 32, (*MASKS, 0))
        self.painter, self.presses = Painter(self.surface), []
        self.seen, self.shown, self.hang = None, None, threading.Event()
        self.go_on, self.lamp = threading.Event(), None

    def actions(self):
        given, self.presses = self.presses, []
        return given

    def paint(self, shown):
        self.painter.paint(shown)
        self.painted = shown
        if self.lamp is not None:
            self.lamp.say(glow_of(shown))

    def flip(self):
        if self.hang.is_set():
            self.go_on.wait(60.0)
        self.seen = pygame.surfarray.array3d(self.surface).transpose(1, 0, 2)
        self.shown = self.painted

    @property
    def banner(self):
        """Colour of the banner across the picture's top; None where the picture is."""
        area = layout(views.EXPOSE, SIZE, (96, 64)).picture
        corner = tuple(int(x) for x in self.seen[area.top + 2, area.left + 2])
        return corner if corner in {RED_WORDS, AMBER} else None

    @property
    def number(self):
        """How many light pixels the place of the large number has."""
        area = layout(views.EXPOSE, SIZE, (96, 64)).readings
        place = self.seen[area.top : area.top + area.height // 3, area.left : area.right]
        return int((place.min(axis=2) > 180).sum())


class Camera:
    """Twenty-five frames a second, or a state; its read can be hung."""

    def __init__(self, info, frame):
        self.info, self.make, self.number = info(), frame, 0
        self.hang, self.go_on, self.state = threading.Event(), threading.Event(), None

    def read(self, timeout_s):
        if self.hang.is_set():
            self.go_on.wait(60.0)
        time.sleep(min(timeout_s, 0.04))
        if self.state is not None:
            return self.state
        self.number += 1
        return self.make(400 + self.number % 50, number=self.number, time_ns=time.monotonic_ns())

    def release(self, frame):
        pass

    def close(self):
        pass


class Ears:
    """What the service manager hears."""

    def __init__(self):
        self.fed, self.said = 0, []

    def alive(self):
        self.fed += 1

    def still_starting(self):
        pass

    def status(self, sentence):
        if not self.said or self.said[-1] != sentence:
            self.said.append(sentence)


def until(true, what):
    end = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < end, what
        time.sleep(0.01)


@pytest.fixture
def unit(info, frame, monkeypatch, by_hand):
    """A whole unit at work: loop, lamp and oversight in their real threads."""
    assert by_hand.eye.shown.face is Face.LIVE  # whatever must be compiled is by now
    eye, camera, ears, clock = Eye(), Camera(info, frame), Ears(), SystemClock()
    hooks = Hooks()
    log: list[str] = []
    oversight = Oversight(hooks.stages, ears, Compiling(), clock, log.append)
    hooks.turn = lambda seen: setattr(oversight, "seen", seen)
    hang_census, census_goes_on, real = threading.Event(), threading.Event(), take_census

    def census(*given):
        if hang_census.is_set():
            census_goes_on.wait(60.0)
        return real(*given)

    monkeypatch.setattr(measurer, "take_census", census)
    hang_lamp, lamp_goes_on, glows = threading.Event(), threading.Event(), []

    def glow(said):
        if hang_lamp.is_set():
            lamp_goes_on.wait(60.0)
        glows.append(said)

    keeper = LampKeeper(SimpleNamespace(say=glow, close=lambda: None), clock, hooks.stages)
    eye.lamp = keeper
    loop = Loop(camera, first_state((STANDARD,), info(), views.EXPOSE), eye, clock, hooks=hooks)
    thread = threading.Thread(target=loop.run, name="draw", daemon=True)
    for each in (keeper, oversight, thread):
        each.start()
    hangs = {
        "capture": (camera.hang, camera.go_on),
        "measuring": (hang_census, census_goes_on),
        "drawing": (eye.hang, eye.go_on),
        "lamp": (hang_lamp, lamp_goes_on),
    }
    made = SimpleNamespace(eye=eye, camera=camera, ears=ears, glows=glows, log=log, hangs=hangs)
    until(lambda: eye.shown is not None and eye.shown.face is Face.LIVE, "a live screen")
    try:
        yield made
    finally:
        for hang, go_on in hangs.values():
            hang.clear()
            go_on.set()
        eye.presses = [Press.QUIT]
        thread.join(PATIENCE_S)
        for each in (keeper, oversight):
            each.close()


@contextlib.contextmanager
def hung(unit, stage):
    hang, go_on = unit.hangs[stage]
    hang.set()
    try:
        yield
    finally:
        hang.clear()
        go_on.set()


@pytest.mark.parametrize("stage", ["capture", "measuring"])
def test_a_hung_stage_is_shown_and_named_and_feeds_no_watchdog(unit, stage):
    until(lambda: unit.eye.banner is None and unit.eye.number > 40, "a number on the screen")
    with hung(unit, stage):
        until(lambda: unit.eye.banner == RED_WORDS, "a banner")
        until(lambda: unit.eye.shown.face_words.startswith(f"{stage}: "), unit.eye.shown)
        assert unit.eye.shown.face is Face.STALLED
        assert unit.eye.number < 40, "a reading of a frozen picture"
        assert unit.eye.shown.readable is None
        until(lambda: unit.ears.said[-1].startswith("stalled: "), unit.ears.said)
        assert stage in unit.ears.said[-1]
        until(lambda: Glow.FLASHING in unit.glows[-1:], "a lamp that flashes")
        until(lambda: unit.log, "a line in the log")
        fed = unit.ears.fed
        time.sleep(0.4)
        assert unit.ears.fed == fed
    until(lambda: unit.eye.banner is None and unit.eye.shown.face is Face.LIVE, "live again")
    until(lambda: unit.ears.fed > fed and unit.ears.said[-1] == "live", unit.ears.said)


def test_a_hung_flip_is_told_by_the_lamp_and_the_status_and_feeds_no_watchdog(unit):
    with hung(unit, "drawing"):
        until(lambda: Glow.FLASHING in unit.glows[-1:], "a lamp that flashes")
        until(lambda: "the screen is frozen" in unit.ears.said[-1], unit.ears.said)
        until(lambda: unit.log, "a line in the log")
        fed = unit.ears.fed
        time.sleep(0.4)
        assert unit.ears.fed == fed
    until(lambda: unit.ears.fed > fed and unit.glows[-1] is not Glow.FLASHING, "all well again")


def test_a_lamp_that_no_longer_follows_is_shown_and_all_else_goes_on(unit):
    with hung(unit, "lamp"):
        until(lambda: unit.eye.banner == AMBER, "a banner")
        shown = unit.eye.shown
        assert shown.face is Face.LAMP
        assert "lamp" in shown.face.value
        number, fed = shown.measured.frame.number, unit.ears.fed
        until(lambda: unit.eye.shown.measured.frame.number > number + 2, "frames that go on")
        assert unit.eye.number > 40
        until(lambda: unit.ears.fed > fed, "a fed watchdog")
    until(lambda: unit.eye.banner is None, "no banner")


def test_a_lost_signal_feeds_the_watchdog(unit):
    unit.camera.state = FeedState.NO_SIGNAL
    until(lambda: unit.eye.shown.face is Face.LOST, unit.eye.shown)
    assert unit.eye.banner == RED_WORDS
    fed = unit.ears.fed
    until(lambda: unit.ears.fed > fed + 3, "a fed watchdog")
    assert unit.ears.said[-1].startswith("no signal")


# How soon, on a clock moved by hand.


class AtOnce(Newest[Any]):
    def take(self, timeout_s):  # noqa: ARG002 - of the hand-over it stands in for
        return super().take(0.0)


@pytest.fixture
def by_hand(info, frame):
    clock, eye, hooks = HandClock(10**9), Eye(), Hooks()

    class Feed(Camera):
        def read(self, timeout_s):  # noqa: ARG002 - the contract's
            if self.state is not None:
                return self.state
            self.number += 1
            return self.make(500, number=self.number, time_ns=clock.now_ns())

    feed = Feed(info, frame)
    loop = Loop(feed, first_state((STANDARD,), info(), views.EXPOSE), eye, clock, hooks=hooks)
    loop._frames, loop._ready = AtOnce(), AtOnce()
    loop._capture.ask_to_stop()  # so that its pauses end at once

    def turn(capture=True, measure=True):
        stages = hooks.stages
        if capture:
            loop._take_frame()
            stages.capture.beat(clock.now_ns())
        if measure:
            loop._measure_frame()
            stages.measuring.beat(clock.now_ns())
        face = loop.turn()
        stages.drawing.beat(clock.now_ns())
        stages.lamp.beat(clock.now_ns())
        clock.move(0.04)
        return face

    for _ in range(10):
        assert turn() is Face.LIVE
    return SimpleNamespace(turn=turn, eye=eye, clock=clock, feed=feed, hooks=hooks, loop=loop)


@pytest.mark.parametrize("still", ["capture", "measure"])
def test_a_stage_that_hangs_is_on_the_screen_within_half_a_second(by_hand, still):
    start_ns, before = by_hand.clock.now_ns() - 40_000_000, by_hand.eye.seen.copy()
    assert by_hand.eye.banner is None
    assert (by_hand.eye.seen == before).all()
    while by_hand.eye.banner is None:
        by_hand.turn(**{still: False})
        assert by_hand.clock.now_ns() - start_ns < 540_000_000
    assert by_hand.clock.now_ns() - 40_000_000 - start_ns <= 500_000_000
    assert by_hand.eye.shown.face is Face.STALLED
    assert by_hand.eye.number < 40
    assert by_hand.turn() is Face.LIVE
    assert by_hand.eye.banner is None


def test_frames_that_are_passed_over_keep_no_old_one_live(by_hand):
    """As seen: frame 9 stayed live and readable while 623 were passed over."""
    for _ in range(50):
        by_hand.turn(measure=False)
    assert by_hand.loop.stats.dropped_before_measuring >= 49
    assert by_hand.eye.shown.face is not Face.LIVE
    assert by_hand.eye.shown.readable is None


def test_a_lost_signal_is_on_the_screen_with_the_next_picture(by_hand):
    by_hand.feed.state = FeedState.NO_SIGNAL
    assert by_hand.turn() is Face.LOST
    assert by_hand.eye.banner == RED_WORDS
    assert by_hand.eye.number < 40
    by_hand.feed.state = None
    assert by_hand.turn() is Face.LIVE


def test_a_signal_that_comes_back_stays_lost_until_a_frame_of_it_is_seen(by_hand):
    by_hand.feed.state = FeedState.UNPLUGGED
    by_hand.turn()
    by_hand.clock.move(5.0)
    by_hand.turn()
    by_hand.feed.state = None
    assert by_hand.turn(measure=False) is Face.LOST
    assert by_hand.turn() is Face.LIVE


def test_a_signal_lost_while_a_picture_is_painted_is_not_shown_as_live(by_hand):
    paint = by_hand.eye.paint

    def slowly(shown):
        paint(shown)
        if shown.face is Face.LIVE:
            by_hand.loop._feed_state = FeedState.NO_SIGNAL

    by_hand.eye.paint = slowly
    assert by_hand.turn() is Face.LOST
    assert by_hand.eye.banner == RED_WORDS


def test_a_picture_that_grows_old_while_it_is_painted_is_not_shown_as_live(by_hand):
    paint = by_hand.eye.paint

    def slowly(shown):
        paint(shown)
        by_hand.clock.move(0.5)

    by_hand.eye.paint = slowly
    assert by_hand.turn() is not Face.LIVE
    assert by_hand.eye.banner == RED_WORDS


def test_numbers_do_not_stay_live_while_the_code_of_another_view_is_made(by_hand):
    made = [0]
    by_hand.hooks.made = lambda: made[0]
    by_hand.eye.presses = [Press.NEXT_VIEW]
    for step in range(25):
        made[0] = step
        face = by_hand.turn(measure=False)
    assert face is Face.STALLED
    assert by_hand.eye.shown.face_words == "measuring: its code is being prepared"
    assert by_hand.eye.shown.readable is None
    corner = by_hand.eye.seen[2:20, 2:200].reshape(-1, 3)
    assert (corner == np.array(RED_WORDS)).all(axis=1).any()
    assert GROUND not in {AMBER, RED_WORDS}


def test_what_is_compiled_while_it_is_drawn_is_said_before(by_hand):
    """Nothing can be said while the drawing thread compiles: no old number may stand meanwhile."""
    seen: list[tuple[Face, str, int]] = []
    flip = by_hand.eye.flip

    def flipped():
        flip()
        seen.append((by_hand.eye.shown.face, by_hand.eye.shown.face_words, by_hand.eye.number))

    by_hand.eye.flip = flipped
    by_hand.hooks.is_warm = lambda: False
    by_hand.eye.presses = [Press.NEXT_VIEW]
    by_hand.turn()
    assert seen[0][:2] == (Face.STALLED, "drawing: its code is being prepared")
    assert seen[0][2] < 40
    assert seen[1][0] is Face.LIVE
    seen.clear()
    by_hand.turn()
    assert [each[0] for each in seen] == [Face.LIVE]
