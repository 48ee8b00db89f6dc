"""Floors of made cameras whose noise and curve are known by formula."""

import numpy as np
import pytest

from overlays.measure.characterise.bracket_steps import Step, value_of
from overlays.measure.characterise.floor import floor_of
from overlays.measure.characterise.smooth import smooth
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal
from tests.made_cameras import THIRD, made_camera

SIGNAL = Signal(10)


def floor(curve, noise, darkest=-9.0, cap_noise=None, ends=None, black=None):
    """Of steps that are read exactly, with a noise in codes of 10 bits."""
    found = published_curve(curve)
    stops = np.arange(darkest, 3.0, 1.0 / 3.0)
    values = np.asarray(found.stops_to_value(stops))
    steps = [
        Step(float(s), CodeReading(1023.0 * v, 0.05, noise, noise_ends=ends), float(v))
        for s, v in zip(stops, values, strict=True)
    ]
    dark = 1023.0 * float(found.encode(0.0)) if black is None else black
    cap = CodeReading(dark, 0.05, noise if cap_noise is None else cap_noise)
    half = np.full(len(stops), 0.05 / 1023.0)
    lies = smooth(stops, values, half, (value_of(dark, SIGNAL), 0.05 / 1023.0), 1.0 / 1023.0)
    light = 0.18 * 2.0**stops
    stands = np.asarray(found.encode(light * 1.02)) - np.asarray(found.encode(light * 0.98))
    return floor_of(cap, steps, found, lies, stands / 0.04, SIGNAL)


def true_floor(curve, noise):
    stops = np.linspace(-16.0, 2.0, 9000)
    slope = np.gradient(1023.0 * np.asarray(published_curve(curve).stops_to_value(stops)), stops)
    return float(stops[np.argmax(slope / np.log(2.0) > noise)])


@pytest.mark.parametrize("noise", [1.0, 3.0, 8.0])
def test_it_is_where_light_is_as_large_as_its_noise(noise):
    found = floor("V-Log", noise, darkest=-11.0)
    assert found.is_seen
    assert found.stops == pytest.approx(true_floor("V-Log", noise), abs=0.05)
    assert found.pm_stops < 0.2


def test_below_the_darkest_step_the_cap_tells_it_and_not_farther_than_a_stop():
    true = true_floor("V-Log", 3.0)
    found = floor("V-Log", 3.0, darkest=true + 0.5)
    assert not found.is_seen
    assert found.stops == pytest.approx(true, abs=0.1)
    assert floor("V-Log", 3.0, darkest=true + 2.0).stops is None


def test_noise_that_the_lowest_code_cuts_off_tells_none():
    assert floor("V-Log", 3.0, darkest=true_floor("V-Log", 3.0) + 0.5, black=10.0).stops is None


def test_noise_known_within_ends_makes_it_as_unsure():
    near, far = (floor("V-Log", 3.0, ends=ends) for ends in ((2.9, 3.1), (2.4, 3.8)))
    assert far.pm_stops > near.pm_stops + 0.2
    assert floor("V-Log", 3.0, ends=(2.4, 5.5)).pm_stops == pytest.approx(0.92, abs=0.02)
    assert floor("V-Log", 3.0, ends=(2.4, 6.5)).stops is None  # not within a stop, if little over
    assert floor("V-Log", 3.0, ends=(0.5, 9.0)).stops is None


@pytest.mark.parametrize("curve", ["LogC3", "V-Log", "S-Log2"])
@pytest.mark.parametrize("noise", [0.2, 0.3])
def test_little_noise_at_eight_bits_tells_it_within_a_third(curve, noise):
    made = made_camera(curve, 8, noise, seed=2)
    found = made.found()
    assert abs(found.floor_stops - made.floor()) <= min(THIRD, found.floor_pm_stops)
