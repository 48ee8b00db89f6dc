"""Which part of a spot lies on a ceiling, channel by channel."""

import json

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.opening import open_feed
from overlays.errors import SpotOutsideError
from overlays.measure.counting.yardstick import clip_margin_percent, yardstick
from overlays.measure.range.areas import look_at
from overlays.measure.range.flat_top import FlatTop, flat_top_of
from overlays.measure.range.on_ceiling import (
    channels_on_ceiling,
    clip_margins,
    clip_percents,
    clipped_shares,
    marked,
    nominal_pixels,
)
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from tests.colour_frames import card, frame_of

PLACE = SpotPlace(32, 32, 32)


def levels(rgb, curve="BT.709", noise=0.0):
    frame = frame_of(card(rgb), curve, 10, noise)
    return frame, yardstick(frame.signal, published_curve(curve), clip=percent(100))


def test_the_clip_is_the_ceiling_where_one_is_known():
    _, yard = levels([0.2] * 3)
    assert clip_percents(yard, None) == (100.0,) * 3
    top = FlatTop((80.0, None, 120.0), 0.1, (0.5, 0.0, 0.0))
    assert clip_percents(yard, top) == (80.0, 100.0, 100.0)  # never above the profile's clip
    rounding = clip_margin_percent(yard.signal)
    assert clip_margins(yard, top) == pytest.approx((1.5, yard.clip_margin_percent, rounding))


def test_channels_are_told_one_by_one():
    frame, yard = levels([0.5, 0.3, 0.1])
    red, _, blue = (100.0 * v for v in nominal_pixels(frame, yard, PLACE).mean(axis=0))
    assert channels_on_ceiling(frame, yard, PLACE, FlatTop((red, None, None), 0.1)) == "R"
    assert channels_on_ceiling(frame, yard, PLACE, FlatTop((red, None, blue), 0.1)) == "RB"
    assert channels_on_ceiling(frame, yard, PLACE, FlatTop((red + 2.0, None, None), 0.1)) == ""
    assert channels_on_ceiling(frame, yard, PLACE, None) == ""


@pytest.mark.parametrize("noise", [0.0, 1.6, 4.8])
def test_noise_behind_the_ceiling_hides_nothing(noise):
    frame, yard = levels([0.5] * 3, noise=noise)
    level = 100.0 * float(yard.carried.nominal(0.5))
    top = FlatTop((level,) * 3, 0.1, (noise / 4.0 / 8.76,) * 3)
    assert channels_on_ceiling(frame, yard, PLACE, top) == "RGB"


def test_a_spot_that_lies_on_it_in_part():
    linear = np.array(card([0.3] * 3))
    linear[:, 40:] = 0.5
    frame = frame_of(linear)
    yard = yardstick(frame.signal, published_curve("BT.709"), clip=percent(100))
    top = FlatTop((100.0 * float(yard.carried.nominal(0.5)),) * 3, 0.1)
    assert clipped_shares(frame, yard, PLACE, top) == pytest.approx((0.25,) * 3)
    assert channels_on_ceiling(frame, yard, PLACE, top) == "RGB"
    assert top.holds(read_spot(frame, yard, PLACE), yard) == ""  # its mean lies beneath


def test_a_spot_outside_is_refused():
    frame, yard = levels([0.2] * 3)
    with pytest.raises(SpotOutsideError):
        clipped_shares(frame, yard, SpotPlace(2, 2, 8), None)


def test_the_clipped_patches_of_the_real_wedge(scenes):
    # raw_clipped_rggb of truth.json: w01-w04 gave out in all channels, w05 and w06 in G and B.
    clips = json.loads((scenes / "truth.json").read_text())["clips"]
    wedge = next(clip for clip in clips if clip["name"] == "s03-wedge36")
    feed = open_feed(str(scenes / "s03-wedge36-10.mkv"), clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    yard = yardstick(frame.signal, published_curve("S-Log3"), shift=frame.shift)
    top = flat_top_of(look_at(frame, yard), yard)
    for patch in wedge["patches"][:12]:
        red, green, other, blue = (share > 0.5 for share in patch["raw_clipped_rggb"])
        expected = "R" * red + "G" * (green and other) + "B" * blue
        wide, high = patch["w"], patch["h"]
        place = SpotPlace(patch["x"] + wide // 2, patch["y"] + high // 2, wide, high)
        assert channels_on_ceiling(frame, yard, place, top) == expected
    feed.close()


def test_a_reading_is_marked_as_clipped_where_it_lies_on_a_ceiling():
    frame, yard = levels([0.5, 0.3, 0.1])
    spot = read_spot(frame, yard, PLACE)
    assert spot.clipped == 0.0
    red = 100.0 * float(nominal_pixels(frame, yard, PLACE)[:, 0].mean())
    again = marked(spot, frame, yard, FlatTop((red, None, None), 0.1))
    assert (again.clipped, again.clipped_rgb) == (1.0, (1.0, 0.0, 0.0))
    assert any(
        "(R)" in warning and "found from the picture" in warning for warning in again.warnings
    )
    assert marked(spot, frame, yard, None) is spot
    assert (
        marked(spot, frame, yard, FlatTop((red + 3.0, None, None), 0.1)).warnings == spot.warnings
    )
