import numpy as np
import pytest

from firmware.instruments.scene import Frames
from firmware.instruments.watch.answer import Told
from firmware.instruments.watch.following import KEPT_EVENTS, STRIP_S, Following, offsets
from firmware.instruments.watch.timing import Timing
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Change, Mood, Tolerance
from overlays.measure.watch.events import PinChange, TakeEvent

OUTSIDE = SpotPlace(95, 1, 16)


def followed(scene, codes, pins=(1,), timing=None, **changed):
    """A watch after frames of these levels, ten a second, and all events they made sure."""
    following, timing = Following("a", pins, Tolerance()), timing or Timing()
    told: list[Told] = []
    for number, code in enumerate(codes):
        made = scene(number / 10, code, **changed)
        timing.take(made)
        following.take(made, timing)
        told += following.fresh
    return following, timing, told


def test_offsets_are_unknown_while_learning(scene):
    following, _, told = followed(scene, [500] * 3)
    assert np.isnan(offsets(following.watch)).all()
    assert offsets(following.watch).shape == (1, 3)
    assert told == []
    (state,) = following.states()
    assert (state.pin, state.reference, state.off_stops, state.mood) == (
        1,
        None,
        None,
        Mood.LEARNING,
    )
    assert state.surest_s is None  # of a pin whose noise nobody knows


def test_how_short_a_passing_is_seen_is_known_with_the_reference(scene):
    (state,) = followed(scene, [500] * 60)[0].states()
    assert state.reference is not None
    assert 0.2 <= state.surest_s < 1.0  # two readings and more, ten a second


def test_a_step_is_told_once_and_marked_in_the_strip(scene):
    following, _, told = followed(scene, [500] * 60 + [560] * 80)
    (event,) = told
    assert event.event.change is Change.STEP
    assert event.start.seconds == pytest.approx(6.0, abs=0.15)
    assert following.events == (event,)
    assert following.fresh == ()
    (state,) = following.states()
    # 60 codes of V-Log are 60 / 1023 / (0.241514 log10(2)) stops, up where it is a straight line
    # in the logarithm: V-Log's published formula, c = 0.241514.
    assert state.off_stops[0] == pytest.approx(60 / 1023 / (0.241514 * np.log10(2)), abs=0.02)
    (lane,) = following.strip().lanes
    assert lane.label == "1"
    assert lane.events == ((event.event.start_ns, Change.STEP),)
    assert following.strip().seconds == STRIP_S
    assert following.strip().tolerance_stops == Tolerance().level_stops
    assert np.nanmax(lane.stretch.highest) == pytest.approx(state.off_stops[0], abs=0.01)


def test_a_command_keeps_no_strip(scene):
    following, _, _ = followed(scene, [500] * 60, frames=Frames.ONCE)
    assert following.strip() is None
    assert following.states()[0].mood is Mood.STEADY


def test_what_is_held_back_at_the_end_is_told_then(scene):
    codes = [500] * 60 + [560] * 80
    following, timing = Following("a", (1,), Tolerance()), Timing()
    for number, code in enumerate(codes):
        made = scene(number / 10, code)
        timing.take(made)
        following.take(made, timing)
        if following.fresh:
            break
    # A frame earlier it was seen and not yet told, since other pins may be about to see it too.
    following, timing, told = followed(scene, codes[:number])
    assert told == []
    following.finish(timing)
    assert [each.event.change for each in following.fresh] == [Change.STEP]
    assert following.events == following.fresh


def test_a_pin_that_a_picture_does_not_have_is_not_read(scene):
    following, _, _ = followed(scene, [500] * 3, pins=(2,), places=(OUTSIDE, SpotPlace(48, 32, 16)))
    assert [state.pin for state in following.states()] == [2]
    gone, timing = scene(1.0, places=(OUTSIDE, OUTSIDE)), Timing()
    timing.take(gone)
    following.take(gone, timing)
    assert following.states() == ()


def test_only_the_newest_events_are_kept(scene):
    following, timing, _ = followed(scene, [500])
    events = [
        TakeEvent(Change.STEP, n, n, (PinChange(1, (0.5, 0.0, 0.0), (0.5, 0.0, 0.0)),), 1)
        for n in range(KEPT_EVENTS + 3)
    ]
    kept = following.events
    for each in events:
        following.watch.finish = lambda each=each: [each]
        following.finish(timing)
    assert kept == ()  # replaced as a whole, never changed
    assert [told.event.start_ns for told in following.events] == list(range(3, KEPT_EVENTS + 3))
