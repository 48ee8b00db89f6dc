"""A pin followed through made takes: nothing missed above twice the tolerance, no false alarm."""

import numpy as np
import pytest

from overlays.measure.watch.change import Change, Mood, Tolerance
from overlays.measure.watch.follower import Follower

ALLOWED = 0.1


def take(level, sigma=0.01, rate=25.0, seed=0, **how):
    """(events, follower) of a level in stops over time, with noise of one reading."""
    rng = np.random.default_rng(seed)
    red, bits, gap = how.get("red", np.zeros_like(level)), how.get("bits"), how.get("gap")
    values = np.stack([level, red, np.zeros_like(level)], axis=1)
    values = values + rng.normal(0.0, 1.0, values.shape) * (sigma, 0.7 * sigma, 0.7 * sigma)
    if bits:
        values = np.round(values * bits) / bits
    follower, events = Follower(Tolerance(ALLOWED, ALLOWED)), []
    for number, each in enumerate(values.tolist()):
        time_ns = round(number * 1e9 / rate)
        if gap is None or not gap[0] <= time_ns / 1e9 < gap[1]:
            events += follower.add(time_ns, tuple(each))
    return events, follower


def seconds(length=60.0, rate=25.0):
    return np.arange(0.0, length, 1.0 / rate)


@pytest.mark.parametrize(
    ("sigma", "bits", "seed"),
    [(0.0, None, 1), (0.004, None, 2), (0.015, 60, 3), (0.03, None, 4), (0.06, None, 5)],
)
def test_an_hour_of_a_steady_noisy_feed_raises_no_alarm(sigma, bits, seed):
    events, follower = take(np.zeros(25 * 3600), sigma, seed=seed, bits=bits)
    assert events == []
    assert follower.mood is Mood.STEADY
    assert abs(follower.off_stops[0]) < ALLOWED


def test_noise_with_outliers_and_slow_wander_raises_none_either():
    rng = np.random.default_rng(6)
    level = np.zeros(25 * 3600)
    level[rng.integers(0, level.size, 40)] = 0.5  # single bad readings, far apart
    wander = 0.02 * np.sin(seconds(3600.0) / 40.0)
    events, _ = take(level + wander, 0.01)
    assert events == []


def step(t, at, by):
    return np.where(t >= at, by, 0.0)


def ramp(t, at, by, over):
    return by * np.clip((t - at) / over, 0.0, 1.0)


def passing(t, at, by, length):
    return np.where((t >= at) & (t < at + length), by, 0.0)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sigma", [0.003, 0.015, 0.04])
@pytest.mark.parametrize("kind", list(Change))
def test_no_event_above_twice_the_tolerance_is_missed_or_misnamed(kind, sigma, seed):
    rng = np.random.default_rng(100 + seed)
    by = float(rng.choice([-1, 1]) * rng.uniform(2.0, 12.0) * ALLOWED)
    at = float(rng.uniform(15.0, 20.0))
    t = seconds(70.0)
    made = {
        Change.STEP: lambda: ramp(t, at, by, float(rng.uniform(0.02, 0.9))),
        Change.DRIFT: lambda: ramp(t, at, by, float(rng.uniform(5.0, 40.0))),
        Change.PASSING: lambda: passing(t, at, by, float(rng.uniform(0.7, 3.0))),
    }[kind]()
    events, follower = take(made, sigma, seed=seed)
    assert events
    assert {event.change for event in events} == {kind}
    first = events[0]
    assert np.sign(first.by_stops[0]) == np.sign(by)
    if kind is Change.STEP:
        assert len(events) == 1
        assert first.start_ns / 1e9 == pytest.approx(at + 0.3, abs=0.6)
        assert first.by_stops[0] == pytest.approx(by, abs=0.05)
        assert first.off_stops[0] == pytest.approx(by, abs=0.06)
    if kind is Change.PASSING:
        assert len(events) == 1
        assert first.start_ns / 1e9 == pytest.approx(at, abs=0.5)
        assert first.by_stops[0] == pytest.approx(by, rel=0.35)
        assert first.off_stops[0] == pytest.approx(0.0, abs=0.05)
    if kind is Change.DRIFT:
        assert first.start_ns / 1e9 == pytest.approx(at + 2.0, abs=6.0)
    assert follower.off_stops[0] == pytest.approx(made[-1], abs=0.05 + 3.0 * sigma)


@pytest.mark.parametrize("seed", range(4))
def test_many_events_in_one_take_are_all_found_in_order(seed):
    rng = np.random.default_rng(200 + seed)
    t = seconds(400.0)
    level, made, at = np.zeros_like(t), [], 15.0
    while at < 370.0:
        by = float(rng.choice([-1, 1]) * rng.uniform(2.2, 6.0) * ALLOWED)
        if rng.random() < 0.5:
            level += step(t, at, by)
            made.append((Change.STEP, at))
        else:
            level += passing(t, at, by, float(rng.uniform(0.3, 2.5)))
            made.append((Change.PASSING, at))
        at += float(rng.uniform(9.0, 20.0))
    events, _ = take(level, 0.012, seed=seed)
    found = [(event.change, event.start_ns / 1e9) for event in events]
    assert [kind for kind, _ in found] == [kind for kind, _ in made]
    for (_, saw), (_, was) in zip(found, made, strict=True):
        assert saw == pytest.approx(was, abs=0.2)


def test_a_drift_that_turns_round_is_spoken_of_again():
    t = seconds(90.0)
    there_and_back = ramp(t, 20.0, -0.5, 10.0) + ramp(t, 32.0, 0.5, 10.0)
    events, _ = take(there_and_back)
    assert [event.change for event in events] == [Change.DRIFT] * 2
    assert events[0].by_stops[0] < 0 < events[1].by_stops[0]


def test_a_step_during_a_drift_is_told_apart():
    t = seconds(90.0)
    events, _ = take(ramp(t, 15.0, 0.6, 60.0) + step(t, 45.0, -0.5))
    steps = [event for event in events if event.change is Change.STEP]
    assert len(steps) == 1
    assert steps[0].start_ns / 1e9 == pytest.approx(45.0, abs=0.2)


def test_the_balance_is_watched_too():
    t = seconds()
    events, _ = take(np.zeros_like(t), red=step(t, 20.0, 0.25))
    assert [event.change for event in events] == [Change.STEP]
    assert events[0].by_stops[1] == pytest.approx(0.25, abs=0.03)
    assert abs(events[0].by_stops[0]) < 0.05


def test_a_covered_pin_is_dark_and_not_unknown():
    follower, events = Follower(Tolerance()), []
    for number in range(25 * 20):
        dark = 10.0 <= number / 25.0 < 11.0
        values = (None, None, None) if dark else (0.0, 0.1, -0.1)
        events += follower.add(number * 40_000_000, values)
    (event,) = events
    assert event.change is Change.PASSING
    assert event.by_stops[0] < -10.0


def test_what_changed_while_there_were_no_frames_is_said():
    t = seconds()
    events, _ = take(step(t, 22.0, -0.4), gap=(20.0, 25.0))
    (event,) = events
    assert event.change is Change.STEP
    assert event.over_gap
    assert event.by_stops[0] == pytest.approx(-0.4, abs=0.03)
    steady, _ = take(np.zeros_like(t), gap=(20.0, 25.0))
    assert steady == []


def test_it_says_when_it_cannot_do_it():
    _, follower = take(np.zeros(25 * 60), sigma=0.5)
    assert follower.mood is Mood.NOISY


def test_it_learns_first():
    follower = Follower(Tolerance())
    assert follower.reference is None
    assert follower.off_stops is None
    assert follower.mood is Mood.LEARNING
    follower.add(0, (0.0, 0.0, 0.0))
    assert follower.mood is Mood.LEARNING


@pytest.mark.parametrize("rate", [5.0, 24.0, 60.0])
def test_at_other_rates(rate):
    t = seconds(60.0, rate)
    events, follower = take(step(t, 20.0, 0.3), rate=rate)
    assert [event.change for event in events] == [Change.STEP]
    assert follower.surest_s <= 1.0


def surest(sigma, rate=25.0):
    """What a follower that knows only this noise and rate is sure to see, seconds."""
    return take(np.zeros(round(rate * 30.0)), sigma, rate=rate)[1].surest_s


@pytest.mark.parametrize(("before", "after"), [(0.004, 0.03), (0.03, 0.004)])
def test_noise_that_changes_during_a_watch_is_learnt_anew_within_ten_seconds(before, after):
    """A camera's gain is turned up or down: what averaging the noise asks for is another one."""
    rng = np.random.default_rng(7)
    follower, events = Follower(Tolerance(ALLOWED, ALLOWED)), []
    for number in range(25 * 60):
        if number == 25 * 30:
            assert follower.surest_s == pytest.approx(surest(before), rel=0.35)
        if number == 25 * 40:
            assert follower.surest_s == pytest.approx(surest(after), rel=0.35)
        values = rng.normal(0.0, before if number < 25 * 30 else after, 3)
        events += follower.add(round(number * 4e7), tuple(values * (1.0, 0.7, 0.7)))
    assert events == []
    assert follower.surest_s == pytest.approx(surest(after), rel=0.35)


def test_a_rate_that_changes_during_a_watch_is_learnt_anew():
    """A feed slows down: the same number of readings to average takes longer."""
    rng = np.random.default_rng(8)
    follower, time_ns = Follower(Tolerance(ALLOWED, ALLOWED)), 0
    for number in range(2000):
        follower.add(time_ns, tuple(rng.normal(0.0, 0.03, 3) * (1.0, 0.7, 0.7)))
        time_ns += 20_000_000 if number < 1000 else 100_000_000
    assert follower.surest_s == pytest.approx(surest(0.03, rate=10.0), rel=0.35)
    assert follower.surest_s > 3.0 * surest(0.03, rate=50.0)
