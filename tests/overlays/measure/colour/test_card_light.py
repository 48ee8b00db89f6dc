"""The light on a card, straight and by way of the dial, against colour-science."""

import colour
import numpy as np
import pytest

from overlays.measure.colour.card_light import light_of, light_under
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.colour_frames import adapted, card, frame_of, light_xyz, to_rgb

BT709 = published_gamut("BT.709")
D65_XYZ = colour.xy_to_XYZ((0.3127, 0.3290))


def spot_of(xyz):
    rgb = to_rgb(xyz, "BT.709")
    frame = frame_of(card(0.4 * rgb / rgb.max()), bits=10, noise=1.0)
    return read_spot(
        frame, yardstick(frame.signal, published_curve("BT.709")), SpotPlace(32, 32, 60)
    )


def test_a_light_seen_without_balance():
    light = light_of(spot_of(light_xyz(4300.0, 0.004)), BT709.to_xyz)
    assert light.point.kelvin == pytest.approx(4300.0, rel=0.005)
    assert light.point.duv == pytest.approx(0.004, abs=3e-4)
    assert 0.0 < light.kelvin_pm() < 40.0
    assert 0.0 < light.duv_pm < 1e-3


def test_a_light_seen_through_a_dial():
    xyz = adapted(light_xyz(5000.0, -0.003), light_xyz(4300.0, 0.005), D65_XYZ)
    light = light_under(spot_of(xyz), BT709, WhitePoint(4300.0, 0.005))
    assert light.point.kelvin == pytest.approx(5000.0, rel=0.005)
    assert light.point.duv == pytest.approx(-0.003, abs=3e-4)


def test_the_doubt_about_the_camera_grows_with_the_step():
    pms = [
        light_under(
            spot_of(adapted(light_xyz(5600.0, 0.0), light_xyz(dial, 0.0), D65_XYZ)),
            BT709,
            WhitePoint(dial, 0.0),
        ).mired_pm
        for dial in (5600.0, 5000.0, 4000.0, 3200.0)
    ]
    assert pms == sorted(pms)
    assert pms[0] < 1.0


def test_gains_on_linear_rgb_are_within_the_doubt():
    # A camera that balances by gains on its linear R, G, B instead.
    rgb = to_rgb(light_xyz(5600.0, 0.0), "BT.709") / to_rgb(light_xyz(4300.0, 0.0), "BT.709")
    frame = frame_of(card(0.3 * rgb / rgb.max()), noise=1.0)
    spot = read_spot(
        frame, yardstick(frame.signal, published_curve("BT.709")), SpotPlace(32, 32, 60)
    )
    light = light_under(spot, BT709, WhitePoint(4300.0, 0.0))
    assert abs(light.point.kelvin - 5600.0) <= light.kelvin_pm()


def test_no_light_where_there_is_none():
    assert light_of(spot_of(np.array([0.2, 0.4, 0.1])), BT709.to_xyz) is None
