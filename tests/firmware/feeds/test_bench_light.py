import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.feeds.bench_light import XYZ_TO_BT709, camera_gains, light_uv, locus_uv, white_rgb

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
    assert camera_gains(4300.0, 0.0, 4300.0).tolist() == [1.0, 1.0, 1.0]


def test_a_warm_light_is_red_and_a_positive_tint_green():
    red, _, blue = camera_gains(3200.0, 0.0, 5600.0)
    assert red > 1.2
    assert blue < 0.6
    plain, green = camera_gains(5600.0, 0.0, 5600.0), camera_gains(5600.0, 10.0, 5600.0)
    assert green[1] > plain[1]
    assert green[0] < plain[0]
    assert green[2] < plain[2]
