"""Frames behind a step: the middle of a level that swings, and what is left of the swing in it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.followed import (
    Swing,
    _mean_light,
    followed,
    readings_of_steps,
)
from overlays.measure.feedcheck.readings import CodeReading

RATE, FRAMES = 25.0, 16


@pytest.mark.parametrize("missing", [(), (1, 2), (7,), (3, 4, 9)])
@pytest.mark.parametrize("hertz", [4.0, 5.0, 7.5, 10.0])
def test_what_is_left_of_a_sine_in_the_mean_is_what_is_said(missing, hertz):
    kept = [n for n in range(FRAMES) if n not in missing]
    worst = 0.0
    for phase in np.linspace(0.0, 1.0, 24, endpoint=False):
        level = 400.0 + 50.0 * np.sin(2.0 * np.pi * (phase + hertz * np.array(kept) / RATE))
        series = [(n / RATE, CodeReading(c, 0.01)) for n, c in zip(kept, level, strict=True)]
        one = followed(series)
        assert one.swing.is_up_and_down
        assert abs(one.mean.code - 400.0) <= one.mean.code_pm
        worst = max(worst, abs(one.mean.code - 400.0) / 50.0)
    assert worst < 0.05


@given(
    st.lists(
        st.tuples(st.floats(0.001, 1.0), st.floats(0.0, 1023.0), st.floats(0.0, 50.0)),
        min_size=1,
        max_size=20,
    )
)
def test_any_frames_make_one_reading_within_them(frames):
    seconds = np.cumsum([gap for gap, *_ in frames])
    series = [
        (float(at), CodeReading(level, pm))
        for at, (_, level, pm) in zip(seconds, frames, strict=True)
    ]
    one = followed(series)
    codes = [reading.code for _, reading in series]
    assert abs(one.mean.code - np.mean(codes)) <= one.mean.code_pm + np.ptp(codes) + 1e-6
    assert one.mean.code_pm >= one.first.code_pm
    assert one.swing is None or isinstance(one.swing, Swing)
    assert one.swing is None or 0 <= one.swing.turns < len(codes)


def test_a_single_step_that_swings_keeps_its_first_frame_and_two_take_their_middle():
    level = 400.0 + 50.0 * np.sin(2.0 * np.pi * 5.0 * np.arange(FRAMES) / RATE)
    swings = followed([(n / RATE, CodeReading(c, 0.1)) for n, c in enumerate(level)])
    still = followed([(n / RATE, CodeReading(300.0, 0.1)) for n in range(FRAMES)])
    assert readings_of_steps([still, swings]) == [still.first, swings.first]
    assert readings_of_steps([still, swings, swings]) == [still.mean, swings.mean, swings.mean]
    assert still.mean.code == pytest.approx(300.0)


def test_the_middle_of_a_period_and_a_quarter_is_that_of_the_sine():
    """Of three turns, which is a period at least; its plain mean is more than a code off."""
    seconds = np.arange(30) / 24.0
    codes = 420.0 + 10.0 * np.sin(2.0 * np.pi * seconds)
    middle, off = _mean_light(seconds, codes, turns=3)
    assert abs(codes.mean() - 420.0) > 1.0
    assert abs(middle - 420.0) < min(off, 0.3)


def test_of_two_frames_the_mean_is_taken_as_of_more():
    found = followed([(0.0, CodeReading(420.0, 0.2)), (0.04, CodeReading(424.0, 0.2))])
    assert found.mean.code == 422.0
    assert (found.swing.low, found.swing.high) == (420.0, 424.0)
