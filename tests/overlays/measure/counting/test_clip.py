"""The clip channel by channel, and what lies on a ceiling that was found."""

import json

import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.opening import open_feed
from overlays.measure.counting.clip import FlatTop, clip_margin_percent
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.flat_top import ceilings_of
from overlays.measure.range.tile_areas import look_at
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from tests.colour_frames import card, frame_of

PLACE = SpotPlace(32, 32, 32)


def levels(rgb, curve="BT.709", noise=0.0):
    frame = frame_of(card(rgb), curve, 10, noise)
    return frame, yardstick(frame.signal, published_curve(curve), clip=percent(100))


def on_ceiling(frame, yard, place, top):
    shares = read_spot(frame, yard.under(top), place).clipped_rgb
    return "".join(name for name, share in zip("RGB", shares, strict=True) if share >= 0.25)


def test_the_clip_is_the_ceiling_where_one_is_known():
    _, yard = levels([0.2] * 3)
    assert yard.clip_percents == (100.0,) * 3
    top = FlatTop((80.0, None, 120.0), 0.1, (0.5, 0.0, 0.0))
    under = yard.under(top)
    assert under.clip_percents == (80.0, 100.0, 100.0)  # never above the profile's clip
    rounding = clip_margin_percent(yard.signal)
    assert under.clip_margins == pytest.approx((1.5, yard.clip_margin_percent, rounding))
    assert under.first_clip_percent == 80.0
    assert under.clip_limits == pytest.approx(
        (0.785, 1.0 - yard.clip_margin_percent / 100, 1.0 - rounding / 100)
    )
    assert yard.under(None) is yard
    assert (top.channels, top.lowest) == ("RB", 80.0)


def test_channels_are_told_one_by_one():
    frame, yard = levels([0.5, 0.3, 0.1])
    red, _, blue = (100.0 * float(yard.carried.nominal(v)) for v in (0.5, 0.3, 0.1))
    assert on_ceiling(frame, yard, PLACE, FlatTop((red, None, None), 0.1)) == "R"
    assert on_ceiling(frame, yard, PLACE, FlatTop((red, None, blue), 0.1)) == "RB"
    assert on_ceiling(frame, yard, PLACE, FlatTop((red + 2.0, None, None), 0.1)) == ""


@pytest.mark.parametrize("noise", [0.0, 1.6, 4.8])
def test_noise_behind_the_ceiling_hides_nothing(noise):
    frame, yard = levels([0.5] * 3, noise=noise)
    level = 100.0 * float(yard.carried.nominal(0.5))
    top = FlatTop((level,) * 3, 0.1, (noise / 4.0 / 8.76,) * 3)
    assert on_ceiling(frame, yard, PLACE, top) == "RGB"


def test_the_clipped_patches_of_the_real_wedge(scenes):
    # raw_clipped_rggb of truth.json: w01-w04 gave out in all channels, w05 and w06 in G and B.
    clips = json.loads((scenes / "truth.json").read_text())["clips"]
    wedge = next(clip for clip in clips if clip["name"] == "s03-wedge36")
    feed = open_feed(str(scenes / "s03-wedge36-10.mkv"), clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    yard = yardstick(frame.signal, published_curve("S-Log3"), shift=frame.shift)
    top = ceilings_of(look_at(frame, yard), yard)[0]
    for patch in wedge["patches"][:12]:
        red, green, other, blue = (share > 0.5 for share in patch["raw_clipped_rggb"])
        expected = "R" * red + "G" * (green and other) + "B" * blue
        wide, high = patch["w"], patch["h"]
        place = SpotPlace(patch["x"] + wide // 2, patch["y"] + high // 2, wide, high)
        assert on_ceiling(frame, yard, place, top) == expected
    feed.close()


def test_a_reading_says_that_its_clip_was_found():
    frame, yard = levels([0.5, 0.3, 0.1])
    red = 100.0 * float(yard.carried.nominal(0.5))
    spot = read_spot(frame, yard.under(FlatTop((red, None, None), 0.1)), PLACE)
    assert (spot.clipped, spot.clipped_rgb) == (1.0, (1.0, 0.0, 0.0))
    assert spot.rgb_stops_pm[0] is None
    assert spot.rgb_stops_pm[1] is not None
    assert any("of R is" in each and "found from the picture" in each for each in spot.warnings)
    plain = read_spot(frame, yard, PLACE)
    above = read_spot(frame, yard.under(FlatTop((red + 3.0, None, None), 0.1)), PLACE)
    assert above.warnings == plain.warnings == ()
