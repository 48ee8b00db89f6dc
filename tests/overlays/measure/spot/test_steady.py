"""The ± of a spot from frame to frame: texture is no noise, frozen noise is no certainty."""

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.steady import FRAMES, SteadySpot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling

SIGNAL = Signal(10, subsampling=Subsampling.S444)
YARD = yardstick(SIGNAL, published_curve("V-Log"))
PLACE = SpotPlace(24, 24, 32)
GREY = np.full((48, 48), 512, np.uint16)


def read(luma):
    return read_spot(Frame((np.rint(luma).astype(np.uint16), GREY, GREY), SIGNAL), YARD, PLACE)


def run(pictures):
    steady = SteadySpot(YARD)
    for picture in pictures:
        alone = read(picture)
        last = steady.add(alone)
    return alone, last


def soft(rng, amplitude):
    """Blotches over some eight pixels, which one frame takes for noise or for texture."""
    small = rng.normal(size=(6, 6)).repeat(8, 0).repeat(8, 1)
    return amplitude * small


def test_texture_that_stays_is_told_from_noise():
    rng = np.random.default_rng(1)
    texture = 450.0 + soft(rng, 12.0)
    alone, last = run(texture + rng.normal(0, 2.0, (48, 48)) for _ in range(FRAMES))
    assert last.stops_pm < 0.3 * alone.stops_pm
    assert last.percent_pm < 0.3 * alone.percent_pm
    assert last.rgb_stops_pm[1] < 0.5 * alone.rgb_stops_pm[1]
    assert last.stops == alone.stops


def test_noise_that_is_new_each_time_is_covered():
    rng = np.random.default_rng(2)
    truth = read(np.full((48, 48), 450.0)).stops
    inside = []
    for _ in range(60):
        noise = (soft(rng, 6.0) + rng.normal(0, 2.0, (48, 48)) for _ in range(FRAMES))
        _, last = run(450.0 + each for each in noise)
        inside.append(abs(last.stops - truth) <= last.stops_pm)
    assert np.mean(inside) >= 0.95


def test_a_drift_of_the_light_is_no_noise():
    rng = np.random.default_rng(3)
    still = [450.0 + rng.normal(0, 2.0, (48, 48)) for _ in range(FRAMES)]
    _, steady = run(still)
    _, drifting = run(picture + 0.4 * n for n, picture in enumerate(still))
    assert drifting.stops_pm == pytest.approx(steady.stops_pm, rel=0.3)


@pytest.mark.parametrize("kept", [1.0, 0.9])
def test_frozen_noise_makes_nothing_surer(kept):
    rng = np.random.default_rng(4)
    noise, pictures = soft(rng, 6.0), []
    for _ in range(FRAMES):
        noise = kept * noise + np.sqrt(1.0 - kept**2) * soft(rng, 6.0)
        pictures.append(450.0 + noise)
    alone, last = run(pictures)
    assert last.stops_pm >= alone.stops_pm


def test_noise_that_one_frame_does_not_show_widens_it():
    rng = np.random.default_rng(5)
    alone, last = run(np.full((48, 48), 450.0 + rng.normal(0, 3.0)) for _ in range(FRAMES))
    assert last.stops_pm > 3.0 * alone.stops_pm


def test_few_frames_and_another_place_say_nothing():
    rng = np.random.default_rng(6)
    steady = SteadySpot(YARD)
    for _ in range(FRAMES):
        reading = read(450.0 + rng.normal(0, 2.0, (48, 48)))
        steady.add(reading)
    picture = np.rint(450.0 + rng.normal(0, 2.0, (48, 48))).astype(np.uint16)
    other = read_spot(Frame((picture, GREY, GREY), SIGNAL), YARD, SpotPlace(20, 20, 16))
    assert steady.add(other) is other


def dark(rng, level):
    """A texture about a level near black (64) that one frame takes for noise down to no light."""
    texture = level + soft(rng, 8.0)
    return [texture + rng.normal(0, 1.0, (48, 48)) for _ in range(FRAMES)]


def run_with(pictures, yard):
    steady = SteadySpot(yard)
    for picture in pictures:
        frame = Frame((np.clip(np.rint(picture), 4, 1019).astype(np.uint16), GREY, GREY), SIGNAL)
        alone = read_spot(frame, yard, PLACE)
        last = steady.add(alone)
    return alone, last


def test_frames_tell_a_half_width_where_one_reached_down_to_no_light():
    alone, last = run_with(
        dark(np.random.default_rng(7), 70.0), yardstick(SIGNAL, published_curve("BT.709"))
    )
    assert alone.stops_pm is None
    assert any("no lower bound" in sentence for sentence in alone.warnings)
    assert 0.0 < last.stops_pm < 1.0
    assert None not in last.rgb_stops_pm
    assert not any("no lower bound" in sentence for sentence in last.warnings)


def test_frames_tell_none_of_noise_that_is_cut_off():
    rng = np.random.default_rng(8)
    cut = [np.maximum(65.0 + rng.normal(0, 3.0, (48, 48)), 64.0) for _ in range(FRAMES)]
    alone, last = run_with(cut, yardstick(SIGNAL, published_curve("BT.709")))
    assert alone.cut_off
    assert (last.stops_pm, last.rgb_stops_pm) == (None, (None, None, None))
