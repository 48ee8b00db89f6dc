"""What a running loop suspects, and lets rest."""

from dataclasses import replace

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.opening import open_feed
from firmware.instruments.registry import REGISTRY
from firmware.live.loop import Loop
from firmware.live.meantime import Meantime
from firmware.live.starting import starting_state
from firmware.live.suspicions import LASTING, Suspicions
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.draw.moment.shown import Measured
from overlays.measure.counting.census import take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from tests.attended import attended
from tests.golden.playing import Sheet, Timed, turned_by_hand


class Said(Sheet):
    """A screen that keeps what it was told to warn of."""

    def paint(self, shown):
        self.warnings, self.alert = shown.warnings, shown.alert


@pytest.fixture
def running():
    def made(text):
        clock = HandClock(start_ns=10**9, wall_start_s=1_795_737_600.0)
        session = open_session(
            f"bench:size=320x180,rate=1,{text}",
            None,
            Overrides(),
            clock=HandClock(10**9),
            pace=Pace.STEP,
        )
        sheet = Said((320, 240))
        state = starting_state(session, REGISTRY.view("expose"))
        loop = turned_by_hand(Loop(Timed(session.feed, clock), state, sheet, clock))

        def show(frames):
            for _ in range(frames):
                loop._take_frame()
                loop._measure_frame()
                loop.turn()
            return [each for each in sheet.warnings if each.startswith("suspected")]

        loop.turn()
        return show, sheet, loop

    return made


def test_what_lasts_is_said_in_one_line_until_it_is_dismissed(running):
    show, sheet, loop = running("range=squeezed,says=limited,bars=2.39")
    assert show(1) == []  # one picture may look like anything
    (line,) = show(LASTING)
    assert "squeezed" in line
    assert "and 1 more" in line
    sheet.presses.append(Press.DISMISS)
    loop.turn()
    assert show(4) == []


def test_an_ordinary_feed_is_not_suspected(running):
    show, _, _ = running("noise=1")
    assert show(LASTING + 2) == []


def test_another_curve_begins_anew(running):
    show, sheet, loop = running("range=squeezed,says=limited")
    assert show(LASTING + 1) != []
    curve = loop.state.in_use.curve
    while loop.state.in_use.curve == curve:
        sheet.presses.append(Press.NEXT_PROFILE)
        loop.turn()
    show(1)  # measured before, it may still be on its way
    assert show(1) == []


def measured():
    """A frame of the bench, counted."""
    feed = open_feed("bench:size=320x180,rate=1", clock=HandClock(10**9), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    return Measured(frame, yard, take_census(frame, yard), SpotPlace(8, 8, 8), None, None)


def test_other_work_that_always_waits_keeps_no_look_away_and_one_is_on_its_way_at_a_time():
    """On a slow board spot and range may wait for their time at every frame."""
    seen, suspicions, meantime = measured(), Suspicions(HandClock()), Meantime(HandClock())
    meantime.add(iter(lambda: None, 0))  # without an end
    for second in range(3):
        suspicions.attend(
            replace(seen, frame=replace(seen.frame, time_ns=second * 10**9)), meantime
        )
        assert meantime.waits == 2
    *_, look = meantime._works
    for _ in look:
        pass
    suspicions.attend(replace(seen, frame=replace(seen.frame, time_ns=9 * 10**9)), meantime)
    assert meantime.waits == 3


SIGNS = ("by_levels", "by_picture", "drawn_stripes", "flat_bottom", "standing")


def test_no_two_signs_are_looked_for_in_one_step(monkeypatch):
    """A frame that comes in meanwhile waits for the end of a step."""
    clock = HandClock(10**9)

    def slow(name):
        def look_for(*_):
            clock.move(0.004)
            return () if name.startswith("by_") else None

        return look_for

    seen, suspicions, meantime = measured(), Suspicions(clock), Meantime(clock)
    attended(suspicions, seen)  # so that there is a picture to compare with
    for name in SIGNS:
        monkeypatch.setattr(f"firmware.live.suspicions.{name}", slow(name))
    later = replace(seen.frame, time_ns=seen.frame.time_ns + 10**10)
    suspicions.attend(replace(seen, frame=later), meantime)
    (look,), took_ns, before = meantime._works, [], clock.now_ns()
    for _ in look:
        took_ns.append(clock.now_ns() - before)
        before = clock.now_ns()
    assert took_ns == [4_000_000] * len(SIGNS)


def test_a_look_that_takes_long_rests_long(monkeypatch):
    clock, looks = HandClock(10**9), []

    def slow(*_):
        looks.append(clock.now_ns())
        clock.move(0.1)
        return ()

    monkeypatch.setattr("firmware.live.suspicions.by_picture", slow)
    seen = measured()
    suspicions = Suspicions(clock)
    for second in range(11):
        attended(suspicions, replace(seen, frame=replace(seen.frame, time_ns=second * 10**9)))
    assert len(looks) == 3  # at 0, 5 and 10 s


@pytest.mark.parametrize(
    ("fault", "words", "frames"),
    [
        ("size=960x540,zebra=70", "diagonal stripes", LASTING + 1),
        ("size=960x540,signal=yuv422-10,floor=12", "cut off above the curve's black", LASTING + 2),
        ("signal=yuv422-10,blends=3,noise=4", "frames are blends", 24),
    ],
)
def test_the_bench_plays_what_is_suspected(running, fault, words, frames):
    show, _, _ = running(fault)
    (line,) = show(frames)
    assert words in line


@pytest.mark.parametrize(
    ("feed", "name"),
    [
        ("range=full,says=limited", "RANGE?"),
        ("signal=yuv422-10,range=squeezed", "RANGE?"),
        ("curve=BT.709,look=S-Log3", "CURVE?"),
        ("bars=2.39", None),
        ("", None),
    ],
)
def test_what_puts_every_level_off_is_seen_from_two_metres_until_it_is_dismissed(
    running, feed, name
):
    show, sheet, _ = running(feed)
    show(LASTING + 2)
    assert (sheet.alert and sheet.alert.name) == name
    sheet.presses.append(Press.DISMISS)
    show(2)
    assert sheet.alert is None
