"""Swings of a known period, and what is none."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.watch.beat import BeatFinder, _span


def found(level_of, seconds, allowed=0.1, rate=25.0):
    finder, beats = BeatFinder(allowed), []
    for number in range(round(seconds * rate)):
        if finder.add(round(number / rate * 1e9), level_of(number / rate)):
            beats.append(finder.find())
    return beats


@given(st.floats(1.5, 20.0), st.floats(0.15, 1.0), st.floats(0.0, 6.3), st.floats(-0.005, 0.005))
@settings(max_examples=12)
def test_a_beat_is_found_with_its_period_and_swing(period_s, swing, phase, drift):
    dice = random.Random(1)

    def level(at_s):
        wave = 0.5 * swing * math.sin(2.0 * math.pi * at_s / period_s + phase)
        return wave + drift * at_s + dice.gauss(0.0, 0.02)

    beat = found(level, max(20.0, 4.5 * period_s))[-1]
    assert beat.period_s == pytest.approx(period_s, rel=0.06)
    assert beat.swing_stops == pytest.approx(swing, rel=0.15)


@pytest.mark.parametrize(
    "level",
    [
        lambda _: 0.3,
        lambda at_s: 0.02 * at_s,
        lambda at_s: -0.5 if 20.0 < at_s < 40.0 else 0.0,  # a cloud that came and went
        lambda at_s: 0.5 if at_s % 8.0 < 2.0 else 0.0,  # something that is switched
        lambda at_s: 0.04 * math.sin(at_s),  # less than the tolerance
        lambda at_s: 0.3 * math.sin(2.0 * math.pi * at_s / 40.0),  # twice and a half: too few
    ],
)
def test_what_is_no_beat(level):
    assert not any(found(level, 90.0))


def test_noise_that_wanders_is_none():
    dice, at = random.Random(7), [0.0]

    def level(_):
        at[0] = 0.98 * at[0] + dice.gauss(0.0, 0.03)
        return at[0]

    assert not any(found(level, 300.0))


def test_no_light_and_a_gap_forget_what_was_before():
    finder = BeatFinder(0.1)
    for number in range(600):
        finder.add(number * 100_000_000, 0.3 * math.sin(number / 10.0))
    assert finder.find() is not None
    finder.add(60_100_000_000, None)
    assert finder.find() is None
    for number in range(600):
        finder.add(10**12 + number * 100_000_000, 0.3 * math.sin(number / 10.0))
    assert finder.find() is not None
    finder.add(2 * 10**12, 0.0)
    assert finder.find() is None


@pytest.mark.parametrize("name", ["seconds", "trend", "window", "hertz", "too_slow"])
def test_what_levels_are_looked_at_with_cannot_be_spoilt(name):
    with pytest.raises(ValueError, match="read-only"):
        getattr(_span(40), name)[...] = 1.0
