"""Noise before a bent curve moves means of codes: by how much is told from the samples' shape."""

from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.characterise.below_black import DITHERED, shown_below
from overlays.measure.characterise.bent import _is_whole, bent_by_noise
from overlays.measure.characterise.noise_through import Under
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal
from tests.made_cameras import seen_camera
from tests.made_feeds import Way, delivered

SIGNAL = Signal(10, Range.LIMITED)
STOPS = np.arange(-4.0, 2.0, 1.0 / 3.0)


def counted(codes):
    first = int(codes.min())
    counts = tuple(int(n) for n in np.bincount((codes - first).astype(int).ravel()))
    tally = Tally(first, counts, float(codes.size))
    return CodeReading(float(codes.mean()), 0.1, float(codes.std()), tally=tally)


def codes_of(light, noise, rng):
    """A channel of S-Log3, noise added to light before the curve."""
    value = published_curve("S-Log3").encode(light + noise * rng.normal(size=(192, 192)))
    return np.rint(1023.0 * np.asarray(value))


def test_what_noise_before_the_curve_does_to_a_mean_is_known():
    rng = np.random.default_rng(5)
    light = 0.18 * 2.0**STOPS
    curve = published_curve("S-Log3")
    noise = 0.15 * light
    read = [counted(codes_of(x, s, rng)) for x, s in zip(light, noise, strict=True)]
    found = bent_by_noise(STOPS, read, curve, 1.0, SIGNAL)
    shifts = np.array([r.code for r in read]) - 1023.0 * np.asarray(curve.encode(light))
    assert found.share == pytest.approx(1.0, abs=0.1)
    assert shifts.mean() < -0.5  # it is there: half a code and more
    left = np.abs(shifts - found.codes)
    sampling = np.array([3.0 * r.noise / 192.0 for r in read])
    assert (left <= found.pm + sampling).all()
    assert left.mean() < 0.2 * np.abs(shifts).mean()


def test_noise_after_the_curve_moves_nothing():
    rng = np.random.default_rng(6)
    way = Way(10, Carriage.FULL, Range.LIMITED, 2.5)
    curve = published_curve("S-Log3")
    values = np.asarray(curve.encode(0.18 * 2.0**STOPS))
    read = [counted(delivered(float(value), way, rng)) for value in values]
    found = bent_by_noise(STOPS, read, curve, 1.0, SIGNAL)
    assert found.share < 0.25
    assert (np.abs(found.codes) <= found.pm).all()


def test_where_samples_were_not_counted_it_is_half_sure_of_either():
    rng = np.random.default_rng(7)
    read = [replace(counted(codes_of(x, 0.15 * x, rng)), tally=None) for x in 0.18 * 2.0**STOPS]
    found = bent_by_noise(STOPS, read, published_curve("S-Log3"), 1.0, SIGNAL)
    assert found.share == 0.5
    assert (found.pm >= np.abs(found.codes)).all()


def test_noise_that_the_channels_have_each_for_itself_bends_more_than_its_luma_says():
    rng = np.random.default_rng(8)
    read = [counted(codes_of(x, 0.15 * x, rng)) for x in 0.18 * 2.0**STOPS]
    wide = [replace(r, channels=(1.3 * r.noise,) * 3) for r in read]
    curve = published_curve("S-Log3")
    one, apart = (bent_by_noise(STOPS, each, curve, 1.0, SIGNAL) for each in (read, wide))
    assert apart.codes.mean() / apart.share < 1.5 * one.codes.mean() / one.share < 0.0


def test_the_signal_of_a_steep_dark_end_is_the_slope_over_what_noise_spans():
    """At the floor of a curve without a straight end one place's slope says nothing of it."""
    made = seen_camera("HLG", 10, 96)
    found = made.found()
    assert found.floor_stops == pytest.approx(made.floor(), abs=1.0 / 3.0)


def test_a_cap_shows_whether_less_than_no_light_is_sent():
    rng = np.random.default_rng(9)
    noise = 3.0 * rng.normal(size=(96, 96))
    even, ended = (counted(np.rint(95.0 + each)) for each in (noise, np.maximum(noise, 0.0)))
    assert shown_below(even, 1.0, SIGNAL) is Under.MIRRORED
    assert shown_below(ended, 1.0, SIGNAL) is Under.CUT
    by_link = counted(np.maximum(np.rint(6.0 + noise), 4.0))
    assert shown_below(by_link, 1.0, SIGNAL) is None
    assert shown_below(replace(even, tally=None), 1.0, SIGNAL) is None


def test_what_a_camera_makes_of_less_than_no_light_is_left_open_where_a_cap_does_not_show_it():
    rng = np.random.default_rng(10)
    stops = np.arange(-8.0, -4.0, 1.0 / 3.0)
    read = [counted(codes_of(x, 0.0008, rng)) for x in 0.18 * 2.0**stops]
    curve = published_curve("S-Log3")
    shut, shown = (
        bent_by_noise(stops, read, curve, 1.0, SIGNAL, each) for each in (None, Under.MIRRORED)
    )
    assert shut.pm[0] > 3.0 * shown.pm[0]
    assert shut.pm[-1] < 2.0 * shown.pm[-1] + 0.05


@pytest.mark.parametrize("step", [1.0, 4.0])
@pytest.mark.parametrize(("more", "is_whole"), [(1.01, True), (0.99, False)])
def test_samples_tell_of_their_shape_where_noise_dithers_steps_of_codes(step, more, is_whole):
    tally = Tally(400, (1, 2, 1), 4.0)
    reading = CodeReading(401.0, 0.1, more * DITHERED * step, tally=tally)
    assert _is_whole(reading, step, lowest=64) is is_whole
    assert not _is_whole(reading, step, lowest=400)
    assert not _is_whole(replace(reading, tally=None), step, lowest=64)
