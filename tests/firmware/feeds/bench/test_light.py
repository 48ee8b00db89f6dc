import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.bench.light import (
    XYZ_TO_BT709,
    camera_gains,
    camera_matrix,
    gamut_matrix,
    light_uv,
    locus_uv,
    white_rgb,
)
from overlays.signal.gamuts import published_gamut

# Planckian radiators: Planck's law, c2 = 1.4388e-2 m K, CIE 1931 2 degree observer, CIE 1960 u, v,
# computed with colour-science 0.4.7.
PLANCK = {2700: (0.26250, 0.35157), 4000: (0.22511, 0.33439), 6500: (0.20045, 0.31036)}


@pytest.mark.parametrize("kelvin", PLANCK)
def test_locus_is_plancks(kelvin):
    assert locus_uv(kelvin) == pytest.approx(PLANCK[kelvin], abs=0.00015)


@given(st.floats(2000.0, 12000.0), st.floats(-20.0, 20.0))
def test_a_colour_meter_would_say_the_kelvin_and_tint_asked_for(kelvin, tint):
    cct, duv = colour.temperature.uv_to_CCT_Ohno2013(np.array(light_uv(kelvin, tint)))
    assert cct == pytest.approx(kelvin, rel=0.01)
    assert duv * 1000.0 == pytest.approx(tint, abs=0.25)


def test_matrix_takes_the_white_of_d65_to_equal_parts():
    d65 = np.array([0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290])
    assert XYZ_TO_BT709 @ d65 == pytest.approx([1.0, 1.0, 1.0], abs=1e-6)


@given(st.floats(2000.0, 12000.0))
def test_a_light_has_luminance_one(kelvin):
    weights = np.linalg.inv(XYZ_TO_BT709)[1]
    assert weights @ white_rgb(kelvin) == pytest.approx(1.0)


def test_a_camera_dialled_to_its_light_sees_neutral():
    assert camera_gains(4300.0, 0.0, 4300.0) == pytest.approx([1.0, 1.0, 1.0], abs=1e-12)
    assert camera_gains(4300.0, 9.0, 4300.0, 9.0) == pytest.approx([1.0, 1.0, 1.0], abs=1e-12)


def xyz_of(kelvin, tint):
    u, v = light_uv(kelvin, tint)
    return colour.xy_to_XYZ(colour.UCS_uv_to_xy((u, v)))


@given(
    st.floats(2500.0, 10000.0),
    st.floats(-10.0, 10.0),
    st.floats(2500.0, 10000.0),
    st.floats(-10.0, 10.0),
)
def test_things_are_adapted_as_colour_science_adapts_them(kelvin, tint, dial, dial_tint):
    light, told, d65 = (
        xyz_of(kelvin, tint),
        xyz_of(dial, dial_tint),
        colour.xy_to_XYZ((0.3127, 0.3290)),
    )
    thing = np.array([0.4, 0.2, 0.1])
    seen = np.linalg.inv(XYZ_TO_BT709) @ thing
    # Reflected light of the thing, then the camera's white; both by von Kries on Bradford.
    lit = colour.adaptation.chromatic_adaptation_VonKries(seen, d65, light, "Bradford")
    shown = colour.adaptation.chromatic_adaptation_VonKries(lit, told, d65, "Bradford")
    found = camera_matrix(kelvin, tint, dial, dial_tint) @ thing
    np.testing.assert_allclose(found, XYZ_TO_BT709 @ shown, rtol=1e-3, atol=1e-4)


def test_another_gamut_is_colour_sciences():
    rgb = np.array([0.4, 0.2, 0.1])
    for ours, theirs in (("V-Gamut", "V-Gamut"), ("AP1", "ACEScg"), ("BT.709", "ITU-R BT.709")):
        expected = colour.RGB_to_RGB(
            rgb, "ITU-R BT.709", theirs, chromatic_adaptation_transform="Bradford"
        )
        np.testing.assert_allclose(gamut_matrix(published_gamut(ours)) @ rgb, expected, atol=2e-5)


def test_a_warm_light_is_red_and_a_positive_tint_green():
    red, _, blue = camera_gains(3200.0, 0.0, 5600.0)
    assert red > 1.2
    assert blue < 0.6
    plain, green = camera_gains(5600.0, 0.0, 5600.0), camera_gains(5600.0, 10.0, 5600.0)
    assert green[1] > plain[1]
    assert green[0] < plain[0]
    assert green[2] < plain[2]
