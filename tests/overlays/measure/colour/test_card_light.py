"""The light on a card, straight and by way of the dial, against colour-science."""

import colour
import numpy as np
import pytest

from overlays.measure.colour.card_light import cameras_differ, light_of, light_under
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests import cameras
from tests.colour_frames import adapted, card, frame_of, light_xyz, to_rgb

BT709 = published_gamut("BT.709")
D65_XYZ = colour.xy_to_XYZ((0.3127, 0.3290))


def spot_of(xyz):
    return spot_of_rgb(to_rgb(xyz, "BT.709"))


def spot_of_rgb(rgb):
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


def steps(axis, fixed):
    """(dial, kelvin, what each camera sends) for cameras whose dial is of an axis of lights."""
    settings = (2700.0, 3200.0, 4300.0, 5600.0, 7500.0)
    for camera in cameras.sensitivities():
        for dial in settings:
            for kelvin in settings:
                linear = cameras.sent(camera, axis(kelvin), axis(dial), axis(fixed or dial))
                if kelvin != dial and linear.min() > 0.0:
                    yield dial, kelvin, linear


def test_the_half_width_holds_for_cameras_of_measured_sensitivities():
    held = []
    for axis in (cameras.black_body, cameras.daylight):
        for fixed in (None, 4500.0):
            for dial, kelvin, linear in steps(axis, fixed):
                light = light_under(spot_of_rgb(linear), BT709, WhitePoint(dial, 0.0))
                off = abs(light.point.mired - 1e6 / kelvin)
                # What the dial takes for neutral at a tint of 0 is its axis: no tint is wanted.
                held.append((off <= light.mired_pm, abs(light.point.duv) <= light.duv_pm))
    assert len(held) > 200
    assert np.mean(held, axis=0).min() >= 0.95


def test_cameras_differ_by_nothing_where_there_is_no_step():
    light = WhitePoint(3200.0, 0.002)
    assert cameras_differ(light, light) == (0.0, 0.0)
    mired, duv = cameras_differ(WhitePoint(5600.0, 0.0), light)
    assert mired == pytest.approx(0.3 * (1e6 / 3200.0 - 1e6 / 5600.0))
    # Daylight of 5600 K has a Duv of 0.0033 (CIE 15 daylight, Ohno 2013); the black body has none.
    assert duv == pytest.approx(0.00331 + 7e-5 * 133.9, abs=1e-4)


def test_no_light_where_there_is_none():
    assert light_of(spot_of(np.array([0.2, 0.4, 0.1])), BT709.to_xyz) is None
