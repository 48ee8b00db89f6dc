"""The forecast against the bench rendered at the exposure that was foreseen."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.profiles.shelf import load_profile
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.forecast import _will_clip, clipped_after, foresee, pm_after
from overlays.measure.range.range import read_range
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.measure.spot.stops import stops_pm
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from tests.clipped_frames import clipped_frame, room
from tests.colour_frames import card, frame_of

SPECK = 0.02


@lru_cache(maxsize=64)
def look(exposure, name="log-s3", signal="yuv422-10", seed=1, clip=6.0):
    """(reading of the range, its two spots, census, yardstick, frame) of the bench."""
    profile = load_profile(name)
    if name != "standard" and clip is not None:
        profile = replace(profile, clip=stops(clip))  # where the bench's sensor clips
    feed = BenchFeed(
        f"exposure={exposure},cloud=0,signal={signal},size=640x360,seed={seed}",
        clock=HandClock(),
        pace=Pace.STEP,
        curve=profile.curve,
        carriage=profile.carriage,
    )
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    yard = profile.yardstick(frame.signal, frame.shift)
    census = take_census(frame, yard, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
    found = read_range(frame, yard, census, SPECK)
    spots = [
        read_spot(frame, yard, SpotPlace(t.column, t.row, t.size))
        for t in (found.brightest, found.darkest)
    ]
    return found, spots, census, yard, frame


def forecast(change, *at, **how):
    found, _, census, yard, frame = look(*at, **how)
    return foresee(change, frame, yard, census, found, SPECK)


def as_sent(spot, yard):
    """A reading with the ± of what was sent, whatever of it was clipped."""
    error = spot.errors.pm(yard.weights)
    nothing = (0.0, 0.0, 0.0)
    return replace(spot, clipped=0.0, clipped_rgb=nothing, stops_pm=stops_pm(spot.luminance, error))


@pytest.mark.parametrize("signal", ["yuv422-10", "uyvy"])
@pytest.mark.parametrize("name", ["log-s3", "log-v"])
@pytest.mark.parametrize(
    ("start", "change"), [(-3.0, 1.0), (-3.0, -1.0), (-2.5, 0.34), (-2.5, -0.67), (-3.0, 3.0)]
)
def test_the_bench_reads_what_was_foreseen(name, signal, start, change):
    expected = forecast(change, start, name, signal)
    _, (bright, dark), *_ = look(start, name, signal)
    found, _, _, yard, frame = look(start + change, name, signal, 2)
    later = read_spot(frame, yard, bright.place).stops
    half = expected.brightest_pm
    if expected.brightest_bound is not None:
        assert half is None  # of what is clipped there is none, but the number is as near
        half = pm_after(as_sent(bright, yard), expected.brightest_stops, yard)
    assert expected.brightest_stops == pytest.approx(later, abs=half)
    # Which window is called the brightest or darkest thing may change with the levels.
    assert expected.brightest_stops == pytest.approx(found.brightest.stops, abs=0.2)
    if expected.darkest_stops is not None and not expected.sinks:
        later = read_spot(frame, yard, dark.place).stops
        assert expected.darkest_stops == pytest.approx(later, abs=expected.darkest_pm)
    assert expected.clips is (max(found.clipped_rgb) > SPECK / 100.0)
    assert expected.clipped_rgb == pytest.approx(found.clipped_rgb, abs=0.003)


@pytest.mark.parametrize("start", [0.0, 1.0])
@pytest.mark.parametrize("change", [0.34, -0.34, -1.0])
def test_shadows_of_a_bright_picture(start, change):
    expected = forecast(change, start, "standard")
    _, (_, dark), *_ = look(start, "standard")
    found, _, _, yard, frame = look(start + change, "standard", seed=2)
    later = read_spot(frame, yard, dark.place).stops
    assert expected.darkest_stops == pytest.approx(later, abs=expected.darkest_pm)
    assert expected.darkest_stops == pytest.approx(found.darkest.stops, abs=0.1)
    assert expected.sinks is False


def test_what_is_clipped_now_is_not_foreseen_when_the_lens_closes():
    expected = forecast(-1.0, 0.0, "standard")
    assert expected.brightest_stops is None
    assert expected.clips is None
    assert expected.clipped_rgb is None
    assert any("clipped now" in each for each in expected.warnings)


def test_what_is_clipped_now_stays_so_when_it_opens():
    expected = forecast(0.5, 0.0, "standard")
    found, *_ = look(0.5, "standard")
    assert expected.clips is True
    assert expected.brightest_stops == pytest.approx(found.brightest.stops, abs=0.01)


def test_a_camera_that_clips_below_the_profile_is_seen_through():
    # The bench's sensor clips at +6 st; this profile thinks the curve's top is the clip.
    expected = forecast(1.0, 0.0, clip=None)
    assert expected.clips is True
    assert expected.brightest_stops == pytest.approx(6.0, abs=0.05)
    assert any("found from the picture" in each for each in expected.warnings)
    assert forecast(-1.0, 0.0, clip=None).brightest_stops is None


def test_what_sinks_is_said_and_not_numbered():
    expected = forecast(-2.0, -3.0)
    assert expected.darkest_stops is None
    assert expected.sinks is True
    assert any("tells no stops apart" in each for each in expected.warnings)


def spot_of(light, curve="BT.709", bits=10):
    frame = frame_of(card([light] * 3), curve, bits, noise=0.7)
    yard = yardstick(frame.signal, published_curve(curve))
    return read_spot(frame, yard, SpotPlace(32, 32, 32)), yard, frame


def test_the_half_width_grows_into_the_dark_and_not_into_the_light():
    spot, yard, _ = spot_of(0.18)
    brighter, darker = (pm_after(spot, at, yard) for at in (1.0, -5.0))
    assert spot.stops_pm < brighter < darker
    assert pm_after(spot, -14.0, yard) is None


def test_shares_that_will_clip_are_counted_channel_by_channel():
    linear = np.full((64, 64, 3), 0.3)
    linear[:, :16] = [0.7, 0.3, 0.3]
    frame = frame_of(linear)
    yard = yardstick(frame.signal, published_curve("BT.709"), clip=percent(100))
    census = take_census(frame, yard, Wants.LEVELS | Wants.RGB)
    assert clipped_after(0.0, census, yard) == (0.0, 0.0, 0.0)
    assert clipped_after(0.7, census, yard) == (0.25, 0.0, 0.0)
    assert clipped_after(2.0, census, yard) == (1.0, 1.0, 1.0)
    assert clipped_after(0.0, take_census(frame, yard, Wants.LEVELS), yard) is None


def foreseen(linear, change, curve="BT.709", bits=10, noise=0.0):
    frame = frame_of(linear, curve, bits, noise)
    clip = percent(100) if curve == "BT.709" else None
    yard = yardstick(frame.signal, published_curve(curve), clip=clip)
    census = take_census(frame, yard, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
    return foresee(change, frame, yard, census, read_range(frame, yard, census, SPECK), SPECK)


def test_red_that_is_clipped_beside_a_white_shirt_is_not_foreseen_to_recover():
    # Issue 11 item 3: R clipped on 23 % of the picture; "nothing clips" after 1.67 stops less.
    linear = np.full((360, 640, 3), 0.1)
    linear[:, :147] = [1.0, 0.2, 0.1]
    linear[100:200, 300:400] = 0.95
    expected = foreseen(linear, -1.67, noise=0.5)
    assert expected.clips is None
    assert expected.clipped_rgb is None
    assert expected.clipped_now == "R"
    opened = foreseen(linear, 0.5, noise=0.5)
    assert (opened.clips, opened.channels) == (True, "RGB")


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("slope", ["wall", "texture"])
def test_an_even_bright_thing_is_not_taken_for_a_clipped_one(slope, bits):
    # Issue 11 item 28: a softbox without noise was said to stay at +1.5 for a true +3.5.
    linear = room()
    if slope == "wall":
        linear = np.array(
            0.18 * 2.0 ** np.linspace(-4.0, 1.0, 640)[None, :, None] * np.ones((360, 1, 3))
        )
    linear[80:240, 200:420] = 0.18 * 2.0**2.0
    expected = foreseen(linear, 1.5, "S-Log3", bits)
    assert expected.brightest_stops == pytest.approx(3.5, abs=0.06)
    assert expected.clips is False


def test_the_forecast_goes_by_a_ceiling_that_was_found():
    # All gave out at less than the curve's top; what lies a stop beneath will reach it.
    frame = clipped_frame(0.05, 0.4)
    yard = yardstick(frame.signal, published_curve("S-Log3"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.RGB | Wants.CLIPPING)
    found = read_range(frame, yard, census, SPECK)
    expected = foresee(1.0, frame, yard, census, found, SPECK)
    assert (expected.clips, expected.channels) == (True, "RGB")
    assert expected.brightest_stops == pytest.approx(found.brightest.stops)
    assert min(expected.clipped_rgb) > min(found.clipped_rgb)


def test_channels_that_go_on_rising_are_named_where_light_is_added_alone():
    # A light of 3200 K clips red and green first; on target nothing goes on rising.
    found, _, census, yard, frame = look(0.0, "standard")
    some = replace(found, clipped_channels="RG")
    more = foresee(0.5, frame, yard, census, some, SPECK).warnings
    assert "the brightest thing is clipped now (RG): with more light only B still rises" in more
    still = foresee(0.0, frame, yard, census, some, SPECK).warnings
    assert not any("clipped now" in each for each in still)


def test_what_is_too_dark_now_is_not_said_to_lie_where_no_stops_are_told_apart():
    # Mid-grey is where every feed tells stops apart: it is now that it cannot be read.
    expected = forecast(9.0, -9.0, "standard", "nv12")
    assert expected.darkest_stops is None
    (said,) = [each for each in expected.warnings if "the darkest thing" in each]
    assert "too dark now" in said or "no light above black" in said
    assert "tells no stops apart" not in said


@pytest.mark.parametrize("change", [-1.0, 0.5, 1.0, 2.0, 3.5])
def test_a_thing_will_clip_once_that_many_stops_take_it_to_the_clip(change):
    """A stop is twice the light (ISO 12232, exposure)."""
    for beside, clips in ((-0.1, False), (0.1, True)):
        light = 0.18 * 2.0 ** (6.0 - change + beside)
        frame = frame_of(np.full((64, 64, 3), light), "S-Log3")
        yard = yardstick(frame.signal, published_curve("S-Log3"), clip=stops(6.0))
        assert _will_clip(change, frame, yard, SpotPlace(32, 32, 16)) is clips
