"""A sensor that gives out below the curve's top is found; noisy white things are not."""

import numpy as np
import pytest

from overlays.measure.counting.clip import FlatTop
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.flat_top import ceilings_of, flat_top_sentence, joined
from overlays.measure.range.tile_areas import look_at
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.levels import percent_to_code
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling

CURVE = published_curve("S-Log3")


def picture(bits, clip_stops, noise_codes, seed=4):
    """A ramp from -4 to +7 stops with noise, clipped by the sensor, on a grey ground."""
    signal = Signal(bits, subsampling=Subsampling.S444)
    yard = yardstick(signal, CURVE)
    rng = np.random.default_rng(seed)
    stops = np.broadcast_to(np.linspace(-4.0, 7.0, 640), (360, 640))
    percent = 100.0 * yard.carried.nominal(0.18 * 2.0**stops)
    codes = percent_to_code(percent, signal) + rng.normal(0, noise_codes, stops.shape)
    if clip_stops is not None:
        codes = np.minimum(
            codes, percent_to_code(yard.carried.stops_to_percent(clip_stops), signal)
        )
    luma = np.round(codes).astype(np.uint8 if bits == 8 else np.uint16)
    grey = np.full_like(luma, 1 << (bits - 1))
    frame = Frame((luma, grey, grey), signal)
    return frame, yard


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("clip_stops", [3.0, 6.0])
def test_finds_where_the_sensor_gives_out(bits, clip_stops):
    frame, yard = picture(bits, clip_stops, 0.6 * 2 ** (bits - 8))
    top = ceilings_of(look_at(frame, yard), yard)[0]
    for percent in top.percents:
        assert yard.carried.percent_to_stops(percent) == pytest.approx(clip_stops, abs=0.04)
    said = flat_top_sentence(top, yard)
    assert f"{top.percents[1]:.1f} %" in said
    assert "found from the picture" in said
    yard = yard.under(top)
    right = read_spot(frame, yard, SpotPlace(625, 180, 24))
    left = read_spot(frame, yard, SpotPlace(100, 180, 24))
    assert min(right.clipped_rgb) > 0.8
    assert left.clipped == 0.0
    assert any("RGB" in each and "found from the picture" in each for each in right.warnings)


@pytest.mark.parametrize("bits", [8, 10])
def test_a_picture_that_fades_out_is_not_flat(bits):
    frame, yard = picture(bits, None, 0.6 * 2 ** (bits - 8))
    assert ceilings_of(look_at(frame, yard), yard)[0] is None


@pytest.mark.parametrize("noise", [0.5, 1.0, 3.0])
def test_a_noisy_white_card_is_not_a_clip(noise):
    signal = Signal(8, subsampling=Subsampling.S444)
    yard = yardstick(signal, CURVE)
    rng = np.random.default_rng(1)
    luma = np.full((360, 640), 90.0)
    luma[100:200, 100:300] = 150.3
    luma = np.round(luma + rng.normal(0, noise, luma.shape)).astype(np.uint8)
    grey = np.full_like(luma, 128)
    frame = Frame((luma, grey, grey), signal)
    assert ceilings_of(look_at(frame, yard), yard)[0] is None


def test_a_picture_without_noise_is_flat_everywhere_and_says_nothing():
    signal = Signal(10, subsampling=Subsampling.S444)
    yard = yardstick(signal, CURVE)
    steps = np.linspace(120, 700, 24).astype(np.uint16).reshape(4, 6)
    luma = steps.repeat(60, 0).repeat(60, 1)
    grey = np.full_like(luma, 512)
    frame = Frame((luma, grey, grey), signal)
    assert ceilings_of(look_at(frame, yard), yard)[0] is None


def test_the_profiles_own_clip_is_not_news():
    frame, _ = picture(10, 7.9, 2.0)
    assert frame.planes[0].max() < 1023
    known = yardstick(frame.signal, published_curve("BT.709"))
    assert ceilings_of(look_at(frame, known), known)[0] is None


def test_ceilings_of_a_frame_come_before_those_known_from_earlier_ones():
    here = FlatTop((80.0, None, None), 0.1, (0.2, 0.0, 0.0))
    known = FlatTop((70.0, 75.0, None), 0.3, (0.1, 0.1, 0.0), 5)
    both = joined(here, known)
    assert (both.percents, both.spreads) == ((80.0, 75.0, None), (0.2, 0.1, 0.0))
    assert both.readings == 5
    assert joined(None, known).percents == known.percents
    assert "another picture" in flat_top_sentence(joined(None, known), picture(10, None, 0)[1])
    assert joined(here, None) is here


@pytest.mark.parametrize(("apart", "said"), [(0.04, 1), (0.1, 1), (0.2, 3), (1.0, 3)])
def test_ceilings_are_one_where_a_tenth_of_a_percent_cannot_tell_them(apart, said):
    yard = yardstick(Signal(10, subsampling=Subsampling.S444), CURVE)
    top = FlatTop((80.0, 80.0 + apart / 2, 80.0 + apart), 0.1)
    sentence = flat_top_sentence(top, yard)
    assert sentence.count(" st") == said
    assert ("in R, G and B" in sentence) is (said == 1)
