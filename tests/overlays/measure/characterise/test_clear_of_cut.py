"""Of a curve whose black a link cuts off, steps that are clear of that are known."""

import numpy as np
import pytest

from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.clear_of_cut import clear_pm
from overlays.measure.characterise.known import KnownEnd
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal
from tests.made_cameras import seen_camera

CUT = ("sRGB", "ACEScc", "DaVinci Intermediate")
"""Whose black lies at code 0 of the whole scale, or below it."""


@pytest.mark.parametrize("bits", [8, 10])
def test_they_are_known_from_where_noise_stays_clear_of_the_lowest_code(bits):
    covered = []
    for made in [seen_camera(curve, bits, 192, seed) for curve in CUT for seed in (4, 5)]:
        found = made.found()
        known = found.known
        assert known.end is KnownEnd.CUT
        assert known.from_stops < -3.5
        assert known.to_stops > made.clip_stops - 1.0
        levels = np.linspace(found.darkest, made.clip_stops - 0.1, 80)
        off = np.abs(np.asarray(found.fit.curve.value_to_stops(made.values(levels))) - levels)
        covered.append(np.mean(off <= [found.pm_at(each) for each in levels]))
        inside = (levels >= known.from_stops) & (levels <= known.to_stops)
        assert off[inside].max() <= 0.03
    assert np.mean(covered) >= 0.95
    assert min(covered) >= 0.8


def test_steps_that_the_lowest_code_touches_are_told_nothing_of():
    video, stops = published_curve("sRGB"), np.arange(-7.0, 2.0, 0.5)
    codes = 1023.0 * np.asarray(video.stops_to_value(stops))
    read = [CodeReading(code, 0.1, 6.0) for code in codes]
    steps = [Step(*each) for each in zip(stops, read, codes / 1023.0, strict=True)]
    pm = clear_pm(CodeReading(4.0, 1.0, 6.0), steps, video, Signal(bits=10))
    touched = codes < 4.0 + 4.0 * 6.0
    assert 0 < touched.sum() < len(codes)
    assert np.isinf(pm[touched]).all()
    assert (pm[~touched] < 0.02).all()
    few = steps[: touched.sum() + 2]
    assert np.isinf(clear_pm(CodeReading(4.0, 1.0, 6.0), few, video, Signal(bits=10))).all()
