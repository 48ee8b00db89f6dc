"""The pins of a take together, on made takes and on the bench under its cloud."""

from dataclasses import replace

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.watch.change import Change, Mood, Tolerance
from overlays.measure.watch.watch import Watch, values_of
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve


def take(pins, sigma=0.01, tolerance=Tolerance(), reds=None):  # noqa: B008 - frozen
    """Events of level series by pin number, 25 readings a second."""
    rng = np.random.default_rng(1)
    watch, events = Watch(pins, tolerance), []
    length = len(next(iter(pins.values())))
    for number in range(length):
        noise = rng.normal(0.0, sigma, (len(pins), 3))
        events += watch.add(
            number * 40_000_000,
            {
                pin: (
                    series[number] + n[0],
                    n[1] + (reds[number] if reds is not None else 0.0),
                    n[2],
                )
                for (pin, series), n in zip(pins.items(), noise, strict=True)
            },
        )
    return events + watch.finish(), watch


T = np.arange(0.0, 50.0, 0.04)


def test_an_iris_moves_every_pin_at_once():
    moved = np.where(T > 20.0, -1.0 / 3.0, 0.0)
    events, watch = take({1: moved, 2: moved - 3.0, 5: moved + 1.0})
    (event,) = events
    assert event.change is Change.STEP
    assert [each.pin for each in event.pins] == [1, 2, 5]
    assert event.words.startswith("every pin stepped by -0.3")
    assert event.words.endswith("iris or gain")
    assert watch.worst_off_stops[1][0] == pytest.approx(-1 / 3, abs=0.05)


def test_a_practical_moves_one():
    events, _ = take({1: np.zeros_like(T), 2: np.where(T > 20.0, -1.0, 0.0)})
    (event,) = events
    assert [each.pin for each in event.pins] == [2]
    assert "pin 2 stepped by -1.00 st: a lamp switched" in event.words


def test_someone_walks_through_pin_after_pin():
    walk = {n: np.where(abs(T - 20.4 - n) < 0.4, -0.7, 0.0) for n in (1, 2)}
    events, _ = take(walk)
    assert [event.change for event in events] == [Change.PASSING] * 2
    assert [event.pins[0].pin for event in events] == [1, 2]
    assert "something passed pin 1 (by -0.7" in events[0].words
    assert "for 0.8 s" in events[0].words


def test_a_cloud_over_all():
    cloud = -0.5 * np.clip((T - 15.0) / 20.0, 0.0, 1.0)
    events, _ = take({1: cloud, 2: cloud})
    assert events[0].change is Change.DRIFT
    assert "drifts" in events[0].words


def test_balance_alone():
    events, _ = take({1: np.zeros_like(T)}, reds=np.where(T > 20.0, 0.4, 0.0))
    (event,) = events
    assert "in colour, red +0.4" in event.words


def test_the_mood_is_that_of_the_pin_with_most_to_say():
    watch = Watch([1], Tolerance())
    assert watch.mood is Mood.LEARNING
    assert watch.worst_off_stops is None
    _, watch = take({1: np.zeros_like(T)})
    assert watch.mood is Mood.STEADY
    assert watch.pins == (1,)
    assert watch.follower(1).reference is not None


def test_the_bench_under_its_cloud():
    # The cloud reaches 0.3 st at the left edge; the grey card in the middle stands still.
    feed = BenchFeed(
        "size=320x180,cloud=1.5,rate=10,curve=V-Log,signal=yuv422-10",
        clock=HandClock(),
        pace=Pace.STEP,
    )
    curve = published_curve("V-Log")
    grey = feed.things()["grey card"]
    places = {1: SpotPlace(20, 90, 16), 2: replace(grey, size=24)}
    watch, events, truth = Watch(places, Tolerance(0.1, 0.1)), [], []
    for _ in range(900):
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        yard = yardstick(frame.signal, curve, shift=frame.shift)
        spots = {pin: read_spot(frame, yard, place) for pin, place in places.items()}
        truth.append(feed.truth(places[1], frame).stops)
        events += watch.add(frame.time_ns, {pin: values_of(s) for pin, s in spots.items()})
        feed.release(frame)
    events += watch.finish()
    assert np.ptp(truth) > 0.3
    assert events
    assert {each.pin for event in events for each in event.pins} == {1}
    assert {event.change for event in events} == {Change.DRIFT}


def test_the_values_of_a_spot():
    feed = BenchFeed("size=320x180,cloud=0", clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    spot = read_spot(frame, yard, feed.things()["grey card"])
    level, red, blue = values_of(spot)
    assert level == spot.stops
    assert red == pytest.approx(spot.rgb_stops[0] - spot.rgb_stops[1])
    assert blue == pytest.approx(spot.rgb_stops[2] - spot.rgb_stops[1])
    dark = replace(spot, stops=None, rgb_stops=(None, None, None))
    assert values_of(dark) == (None, None, None)


def test_the_worst_pin_is_told_by_whichever_of_its_three_is_farthest_off():
    """In tolerances: red may be off where level and blue are not."""
    watch = Watch([1, 2], Tolerance())
    off = {1: (0.01, 0.9, 0.0), 2: (0.05, 0.05, 0.05)}
    watch.off_stops = off.get  # type: ignore[method-assign, assignment]
    assert watch.worst_off_stops == (1, off[1])


def test_what_is_still_held_back_of_one_pin_is_kept_for_it_and_for_no_other():
    """A step waits for those of other pins, to be told as one; its frames are asked for by then."""
    rng, watch = np.random.default_rng(1), Watch([1, 2], Tolerance())
    own: set[int] = set()
    for number in range(400):
        stops = 0.5 if number >= 150 else 0.0
        noise = rng.normal(0.0, 0.002, (2, 3))
        watch.add(number * 40_000_000, {1: tuple(stops + noise[0]), 2: tuple(noise[1])})
        for _, pin, told in watch._held:
            own.add(pin)
            means = told.event.means
            assert means is not None
            assert means.times
            assert means.times <= watch.made_of(1)
            assert watch.made_of(2) == watch.follower(2).made_of
    assert own == {1}
