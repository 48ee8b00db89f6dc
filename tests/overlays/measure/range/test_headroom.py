"""Fullness in stops, by channel and level; and the room that is left."""

import numpy as np
import pytest

from overlays.measure.counting.clip import FlatTop
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.headroom import (
    clipped_channels,
    fullest_place,
    room_by_channel,
    stops_to_clip,
)
from overlays.measure.range.tile_areas import look_at
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from tests.colour_frames import card, frame_of

BT709 = published_curve("BT.709")


def measured(linear):
    frame = frame_of(linear)
    yard = yardstick(frame.signal, BT709, clip=percent(100))
    return frame, yard, look_at(frame, yard)


def test_levels_are_told_in_stops_below_their_clip():
    _frame, yard, areas = measured(card([0.2] * 3))
    by_level = stops_to_clip(areas, yard.under(FlatTop((None, 80.0, None), 0.1)))
    half = round(areas.level(100.0 * float(yard.carried.nominal(0.5))))
    assert by_level[0, half] == pytest.approx(-1.0, abs=0.01)
    eighty = float(yard.carried.light(0.8))
    assert by_level[1, half] == pytest.approx(np.log2(0.5 / eighty), abs=0.01)
    assert by_level[0, round(areas.level(100.0))] == 0.0
    assert by_level[1, round(areas.level(80.0))] == 0.0
    assert by_level[0, 0] == by_level[0].min() < -20.0
    assert np.isfinite(by_level).all()


def test_the_fullest_thing_is_the_one_whose_channel_is_nearest_to_its_clip():
    linear = np.full((256, 256, 3), 0.1)
    linear[40:80, 40:80] = [0.6, 0.6, 0.6]
    linear[150:190, 150:190] = [0.9, 0.1, 0.1]
    frame, yard, areas = measured(linear)
    place = fullest_place(frame, yard, areas, stops_to_clip(areas, yard), 100.0)
    assert 150 <= place.column < 190
    assert 150 <= place.row < 190
    # Where green gives out at 70 % light is nearer to it in the grey thing.
    top = FlatTop((None, 100.0 * float(yard.carried.nominal(0.62)), None), 0.1)
    yard = yard.under(top)
    place = fullest_place(frame, yard, areas, stops_to_clip(areas, yard), 100.0)
    assert 40 <= place.column < 80


def test_room_is_told_by_channel_and_none_without_light():
    frame, yard, _ = measured(card([0.5, 0.25, 0.0]))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 32))
    red, green, blue = room_by_channel(spot, yard)
    assert (red, green) == pytest.approx((1.0, 2.0), abs=0.01)
    assert blue is None or blue > 6.0
    top = FlatTop((None, 100.0 * float(yard.carried.nominal(0.5)), None), 0.1)
    assert room_by_channel(spot, yard.under(top))[1] == pytest.approx(1.0, abs=0.01)


def test_clipped_channels_are_named():
    frame, yard, _ = measured(card([1.1, 0.3, 1.05]))
    assert clipped_channels(read_spot(frame, yard, SpotPlace(32, 32, 32))) == "RB"


def test_small_lamps_are_shown_by_a_block():
    linear = np.full((1080, 1920, 3), 0.05)
    for row in range(20, 1060, 40):
        linear[row : row + 3, 21:1900:40] = 0.8
        linear[row : row + 3, 22:1900:40] = 0.8
        linear[row : row + 3, 23:1900:40] = 0.8
    frame, yard, areas = measured(linear)
    place = fullest_place(frame, yard, areas, stops_to_clip(areas, yard), 415.0)
    assert read_spot(frame, yard, place).rgb_linear[1] == pytest.approx(0.8, abs=0.02)
