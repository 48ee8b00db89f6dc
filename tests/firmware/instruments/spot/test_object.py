import json
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from firmware.answers.cleaner import enveloped
from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.opening import open_feed
from firmware.feeds.timecode import from_zero, parse_timecode
from firmware.instruments.asking import Unplaced, scene_of
from firmware.instruments.desk import Desk, PinPlace
from firmware.instruments.scene import KnowsTruth
from firmware.instruments.spot.instrument import INSTRUMENT
from firmware.instruments.spot.object import object_of
from firmware.opening.read_with import read_with
from firmware.profiles.model import curve_alone
from firmware.profiles.shelf import load_profile
from overlays.errors import SpotOutsideError
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Range, Signal, Subsampling

PLACE = SpotPlace(48, 32, 16)


@dataclass(frozen=True)
class Known:
    percent: float
    stops: float


def whole_object(frame, info, profile="log-v", truth=None, places=(PLACE,)):
    found = enveloped(object_of(taken(frame, info, profile, truth, places)))
    return json.loads(json.dumps(found, allow_nan=False))


def taken(frame, info, profile="log-v", truth=None, places=(PLACE,)):
    profile = load_profile(profile) if isinstance(profile, str) else profile
    # The feed's signal is that of the frame: nothing is said against it here.
    derived = read_with(profile, replace(info, signal=frame.signal))
    scene = scene_of(frame, derived, (), Unplaced.CENTRE)
    scene.truth = truth
    scene.desk = Desk(tuple(PinPlace("", place) for place in places))
    return INSTRUMENT.measure(scene, None, None)


def test_the_keys_of_schema_1(frame, info):
    found = whole_object(frame(number=7), info())
    assert list(found) == ["schema", "feed", "profile", "spots", "frame", "warnings"]
    assert found["schema"] == 1
    assert found["feed"] == {
        "name": "fake",
        "simulated": False,
        "width": 96,
        "height": 64,
        "bits": 10,
        "range": "limited",
        "matrix": "BT.709",
        "components": "Y'CbCr",
        "subsampling": "4:4:4",
        "lossy": False,
        "frame": 7,
        "timecode": None,
        "timecode_from": None,
    }
    assert found["profile"] == {"name": "log-v", "curve": "V-Log", "carriage": "full"}
    (spot,) = found["spots"]
    assert list(spot) == [
        "x",
        "y",
        "size",
        "height",
        "percent",
        "percent_pm",
        "stops",
        "stops_pm",
        "at_least",
        "at_most",
        "rgb_stops",
        "rgb_stops_pm",
        "rgb_at_least",
        "code",
        "clipped",
        "may_clip",
        "below_floor",
        "warnings",
    ]
    assert list(found["frame"]) == [
        "brightest",
        "darkest",
        "headroom",
        "footroom",
        "clipped",
        "in_band",
        "band",
        "headroom_channel",
        "headroom_rgb",
        "brightest_clipped",
        "clip",
    ]
    assert list(found["frame"]["clipped"]) == ["r", "g", "b"]
    assert list(found["frame"]["brightest"]) == ["x", "y", "size", "percent", "stops", "at_least"]


def test_the_numbers_are_those_of_the_published_table(frame, info):
    # V-Log/V-Gamut Reference Manual Rev.1.0 (2014), table: 18 % grey at 10-bit code 433
    found = whole_object(frame(433), info())
    (spot,) = found["spots"]
    assert spot["stops"] == pytest.approx(0.0, abs=0.02)
    assert spot["percent"] == pytest.approx((433.25 - 64) / 8.76, abs=1e-4)
    assert spot["code"] == [pytest.approx(433.25), 512, 512]
    assert found["frame"]["in_band"] == 1.0
    assert found["frame"]["band"] == "0 st ± 0.2 st"


def test_black_has_no_stops_but_a_word(frame, info):
    found = whole_object(frame(40), info(), "standard")
    (spot,) = found["spots"]
    assert (spot["stops"], spot["stops_pm"]) == (None, None)
    assert spot["rgb_stops"] == [None, None, None]
    assert spot["percent"] == pytest.approx((40.25 - 64) / 8.76, abs=1e-4)
    assert any("no light above black" in warning for warning in spot["warnings"])
    assert found["frame"]["darkest"]["stops"] is None
    assert (found["frame"]["headroom"], found["frame"]["footroom"]) == (None, None)
    assert any("headroom" in warning for warning in found["warnings"])
    assert any("footroom" in warning for warning in found["warnings"])


def test_a_darkest_thing_that_is_cut_off_has_no_footroom_and_says_so(frame, info):
    """Noise on no light, of which the camera sends nothing below black (code 64, BT.709-6)."""
    noise = np.random.default_rng(3).normal(0.0, 8.0, (64, 48))
    dark = frame(502)
    dark.planes[0][:, 48:] = np.rint(64.0 + noise).clip(64)
    place = SpotPlace(72, 32, 32)
    found = whole_object(dark, info(), "standard", places=(place,))
    assert found["spots"][0]["at_most"]
    assert (found["frame"]["footroom"], found["frame"]["darkest"]["at_least"]) == (None, False)
    (said,) = [each for each in found["warnings"] if "footroom" in each]
    assert "cut off at black" in said
    lines = "\n".join(map(str, INSTRUMENT.lines(taken(dark, info(), "standard", places=(place,)))))
    assert "Darkest at most -" in lines
    assert "footroom unknown" in lines


def test_one_channel_without_light_is_named(frame, info):
    flat = frame(433)
    flat.planes[2][:] = 100  # far below neutral Cr: red goes below black
    (spot,) = whole_object(flat, info())["spots"]
    assert spot["rgb_stops"][0] is None
    assert spot["rgb_stops"][1] is not None
    assert "stops of R unknown: no light above black" in spot["warnings"]


def test_without_a_band_the_share_is_unknown_with_a_word(frame, info):
    found = whole_object(frame(), info(), curve_alone(published_curve("HLG")))
    assert found["profile"]["name"] is None
    assert found["frame"]["in_band"] is None
    assert found["frame"]["band"] is None
    assert any("lies in a band is not known" in warning for warning in found["warnings"])


def test_a_frame_of_footage_has_its_time_code(frame, info):
    code = parse_timecode("09:59:59:20", 25.0)
    given = replace(frame(number=7), timecode=code.at(7))
    found = whole_object(given, replace(info(), timecode=code))["feed"]
    assert (found["timecode"], found["timecode_from"]) == ("10:00:00:02", "file")
    given = replace(frame(number=7), timecode="00:00:00:07")
    found = whole_object(given, replace(info(), timecode=from_zero(25.0)))["feed"]
    assert (found["timecode"], found["timecode_from"]) == ("00:00:00:07", "first frame")


def test_truth_comes_with_each_spot_of_a_feed_that_knows(frame, info):
    found = whole_object(frame(), info(), truth=lambda *_: Known(42.0, 0.5))
    assert found["spots"][0]["truth"] == {"percent": 42.0, "stops": 0.5}


def test_truth_without_light_is_unknown_with_a_word(frame, info):
    found = whole_object(frame(), info(), truth=lambda *_: Known(0.0, -math.inf))
    assert found["spots"][0]["truth"]["stops"] is None
    assert any("truth of stops" in warning for warning in found["spots"][0]["warnings"])


def test_all_warnings_are_told_once(frame, info):
    known = info(warnings=("the file does not say its range", "twice"))
    found = whole_object(frame(notes=("interlaced", "twice")), known)
    assert found["warnings"][:3] == ["the file does not say its range", "twice", "interlaced"]
    assert found["warnings"].count("twice") == 1


def test_the_signal_is_that_of_the_frame(frame, info):
    eight = Signal(8, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444)
    flat = frame(120, eight)
    found = whole_object(flat, info())
    assert (found["feed"]["bits"], found["feed"]["range"]) == (8, "full")
    assert found["feed"]["components"] == "R'G'B'"


def test_many_spots_keep_their_order(frame, info):
    places = [SpotPlace(20, 20, 8), SpotPlace(70, 40, 12)]
    found = whole_object(frame(), info(), places=places)
    assert [(s["x"], s["y"], s["size"]) for s in found["spots"]] == [(20, 20, 8), (70, 40, 12)]


def test_a_spot_outside_is_refused(frame, info):
    with pytest.raises(SpotOutsideError):
        taken(frame(), info(), "hlg", places=[replace(PLACE, column=1)])


def test_the_bench_is_known_by_its_method():
    class Bench:
        def truth(self, *_):
            return Known(0.0, 0.0)

    assert isinstance(Bench(), KnowsTruth)
    assert not isinstance(object(), KnowsTruth)


def test_a_spot_at_the_pictures_flat_top_says_so():
    # the bench's sensor gives out at +6 stops, the curve's top lies higher
    feed = open_feed("bench:curve=S-Log3,signal=yuv422-10", clock=HandClock(), pace=Pace.STEP)
    assert isinstance(feed, BenchFeed)
    frame = feed.read(5.0)
    window = feed.things()["window"]
    found = taken(frame, feed.info, "log-s3", places=[window])
    feed.release(frame)
    feed.close()
    assert any("found from the picture" in w for w in found.warnings)
    assert any("the clip of RGB" in w for w in found.spots[0].warnings)
