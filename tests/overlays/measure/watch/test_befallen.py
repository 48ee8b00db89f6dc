"""What is told of a pin at the clip, in the dark, behind a cut and in the beat of lamps."""

import math
import random

import pytest

from overlays.measure.watch.change import Change, Happening, Mood, Tolerance
from overlays.measure.watch.cut import Cut, CutTo
from overlays.measure.watch.events import short_words
from overlays.measure.watch.watch import Watch
from overlays.measure.watch.worth import Worth

FRAME_NS = 40_000_000


def take(level, seconds=40.0, worth=lambda _: Worth.PLAIN, cuts=(), pins=2, sigma=0.01):
    """Events of pins that all have this level (of seconds), at 25 frames a second."""
    dice, watch, events = random.Random(2), Watch(range(1, pins + 1), Tolerance()), []
    waiting = [Cut(round(at_s * 1e9), to) for at_s, to in cuts]
    for number in range(round(seconds * 25.0)):
        at_s = number / 25.0
        cut = waiting.pop(0) if waiting and waiting[0].at_ns < number * FRAME_NS else None
        readings = {pin: (level(at_s) + dice.gauss(0.0, sigma), 0.0, 0.0) for pin in watch.pins}
        worths = {pin: worth(at_s) for pin in watch.pins}
        events += watch.add(number * FRAME_NS, readings, worths, cut)
    return [*events, *watch.finish()], watch


def test_a_pin_that_creeps_into_the_clip_clips_and_no_lamp_was_switched():
    def level(at_s):
        return min(0.02 * max(at_s - 10.0, 0.0), 0.3) + (0.2 if at_s > 25.0 else 0.0)

    events, watch = take(level, 50.0, lambda at_s: Worth.CLIPPED if at_s > 24.0 else Worth.PLAIN)
    assert events[-1].change is Happening.CLIP
    assert events[-1].start_ns == pytest.approx(24.04e9)
    assert events[-1].words.startswith("every pin: clipped, what the light does there is not seen")
    assert {event.change for event in events[:-1]} == {Change.DRIFT}
    assert watch.mood is Mood.CLIPPED
    assert watch.worst_off_stops is None
    assert short_words(events[-1]) == "clipped, every pin"


def test_light_that_is_lost_and_returns():
    def dark(at_s):
        return 10.0 < at_s < 30.0

    events, watch = take(
        lambda at_s: -15.0 if dark(at_s) else -0.3 * (at_s >= 30.0),
        50.0,
        lambda at_s: Worth.DARK if dark(at_s) else Worth.PLAIN,
    )
    assert [event.change for event in events] == [Happening.LOST, Happening.RETURNED]
    lost, back = events
    assert lost.words == "every pin: lost, there is no light that could be followed"
    assert back.words.startswith("every pin can be followed again, -0.")
    assert back.pins[0].off_stops[0] == pytest.approx(-0.3, abs=0.02)
    assert back.start_ns == pytest.approx(30e9, abs=FRAME_NS)
    assert watch.mood is Mood.STEADY


def test_what_covers_a_pin_for_a_moment_passes():
    events, _ = take(
        lambda at_s: -15.0 if 20.0 < at_s < 21.2 else 0.0,
        worth=lambda at_s: Worth.DARK if 20.0 < at_s < 21.2 else Worth.PLAIN,
    )
    (event,) = events
    assert event.words == "something passed every pin (down to no light) for 1.2 s"


def test_a_cut_is_a_cut():
    events, _ = take(lambda at_s: -0.5 if at_s > 20.0 else 0.0, cuts=[(20.04, CutTo.OTHER)], pins=3)
    (event,) = events
    assert (event.change, event.start_ns, event.pins) == (Happening.CUT, 20_040_000_000, ())
    assert event.words.startswith("a cut: from one frame to the next it is another picture")


def test_a_cut_to_black_and_back_is_nothing_that_passed():
    def black(at_s):
        return 20.0 <= at_s < 22.0

    events, _ = take(
        lambda at_s: -15.0 if black(at_s) else 0.0,
        worth=lambda at_s: Worth.DARK if black(at_s) else Worth.PLAIN,
        cuts=[(20.0, CutTo.BLACK), (22.0, CutTo.BACK)],
    )
    assert [event.cut for event in events] == [CutTo.BLACK, CutTo.BACK]
    assert "the picture went black from one frame to the next" in events[0].words


def test_a_slow_beat_of_the_lamps_is_no_cloud():
    # 25.00 frames a second under 50.04 Hz: flicker of 100.08 Hz beats at 0.08 Hz, every 12.5 s.
    events, _ = take(lambda at_s: 0.15 * math.sin(2.0 * math.pi * 0.08 * at_s), 240.0)
    (beat,) = [event for event in events if event.change is Happening.BEAT]
    assert beat.period_s == pytest.approx(12.5, rel=0.05)
    assert beat.pins[0].by_stops[0] == pytest.approx(0.3, abs=0.02)
    assert "every pin swings by 0." in beat.words
    # Before three swings nobody can know; afterwards no more is said of it.
    assert beat.end_ns < 60e9
    assert all(event.start_ns < beat.end_ns for event in events)
    assert "or lamps beating slowly with the frames" in events[0].words


def test_a_step_in_a_beat_is_told():
    def level(at_s):
        return 0.15 * math.sin(2.0 * math.pi * 0.5 * at_s) - (1.0 if at_s > 60.0 else 0.0)

    events, _ = take(level, 90.0)
    changes = [event.change for event in events if event.start_ns > 40e9]
    assert Change.STEP in changes


def test_a_gap_is_said_wherever_it_is():
    watch, events = Watch([1], Tolerance()), []
    times = [number * FRAME_NS for number in range(500)]
    times += [times[-1] + 3_000_000_000 + number * FRAME_NS for number in range(500)]
    for time_ns in times:
        events += watch.add(time_ns, {1: (0.0, 0.0, 0.0)})
    (event,) = events + watch.finish()
    assert event.change is Happening.GAP
    assert event.words == "no frames for 3.0 s: what the light did then was not seen"
    assert short_words(event) == "no frames, 3.0 s"


def test_a_feed_of_few_frames_has_no_gap_in_each():
    watch, events = Watch([1], Tolerance()), []
    for number in range(60):
        events += watch.add(number * 2_000_000_000, {1: (0.0, 0.0, 0.0)})
    assert not any(event.change is Happening.GAP for event in events)


def test_noise_that_lasts_from_frame_to_frame_is_no_passing():
    """A camera that keeps 0.8 of the frame before (temporal denoising): an AR(1) series."""
    dice, watch, events = random.Random(4), Watch([1], Tolerance(0.1, 0.1)), []
    level = 0.0
    for number in range(15_000):  # ten minutes
        level = 0.8 * level + dice.gauss(0.0, 0.6 * 0.04)
        events += watch.add(number * FRAME_NS, {1: (level, 0.0, 0.0)})
    assert events == []
