"""One patch against its reference."""

from dataclasses import replace

import colour
import numpy as np
import pytest

from overlays.measure.chart.chart_patch import ChartScale, log_ratio, patch_readings
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.colour_frames import card, frame_of

BT709 = published_gamut("BT.709")


def test_log_ratio_keeps_quiet_where_there_is_no_light():
    found = log_ratio(np.array([2.0, -1.0, 0.0, 1.0]), np.array([1.0, 1.0, 1.0, 0.0]))
    assert found[0] == 1.0
    assert np.isnan(found[1:]).all()


def test_log_ratio_of_a_reference_next_to_nothing_is_a_number():
    assert log_ratio(np.array([2.0]), np.array([2.0**-1070])) == [1071.0]


def test_a_patch_is_what_colour_science_says():
    rgb = np.array([0.4, 0.2, 0.1])
    frame = frame_of(card(rgb), noise=1.0)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 60))
    expected = CHART24.xyz @ BT709.from_xyz.T
    gains = np.array([1.1, 1.0, 0.9])
    scale = ChartScale(gains, (18, 19, 20))
    patch = patch_readings([spot] * 24, expected, CHART24, scale, BT709.to_xyz)[1]
    lab = colour.XYZ_to_Lab(BT709.to_xyz @ (rgb * gains), (0.3127, 0.3290))
    wanted = CHART24.lab[1]
    assert patch.lab == pytest.approx(tuple(lab), abs=0.15)
    assert patch.de00 == pytest.approx(colour.delta_E(lab, wanted), abs=0.1)
    hue = np.degrees(np.arctan2(lab[2], lab[1]) - np.arctan2(wanted[2], wanted[1]))
    assert patch.hue_error_deg == pytest.approx(hue, abs=0.5)
    ratio = np.hypot(*lab[1:]) / np.hypot(*wanted[1:])
    assert patch.chroma_ratio == pytest.approx(ratio, rel=0.01)
    assert 0.0 < patch.de00_pm < 0.5


def test_a_channel_that_the_spot_calls_no_light_has_no_ratio_to_green():
    # Found by the sweep of sentences: -23.6 stops of red, of a patch through HLG without noise.
    frame = frame_of(card(np.array([0.4, 0.2, 0.1])), noise=1.0)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 60))
    dark = replace(
        spot, rgb_linear=(1e-8, *spot.rgb_linear[1:]), rgb_stops=(None, *spot.rgb_stops[1:])
    )
    black = replace(dark, stops=None)
    expected = CHART24.xyz @ BT709.from_xyz.T
    spots, scale = [spot, dark, black] + [spot] * 21, ChartScale(np.ones(3), (18, 19, 20))
    first, second, third, *_ = patch_readings(spots, expected, CHART24, scale, BT709.to_xyz)
    assert None not in (first.r_stops, first.b_stops, second.b_stops, second.stops_off)
    assert (second.r_stops, third.r_stops, third.stops_off) == (None, None, None)
