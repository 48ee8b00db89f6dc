"""What to dial on camera B, against colour-science's lights and adaptation."""

import colour
import numpy as np
import pytest

from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.match.dialling import dialling
from overlays.signal.gamuts import published_gamut
from tests import cameras
from tests.colour_frames import adapted, light_xyz, to_rgb

BT709 = published_gamut("BT.709")
D65_XYZ = colour.xy_to_XYZ((0.3127, 0.3290))
STEPS = ((3200.0, 5600.0), (5600.0, 3200.0), (4300.0, 5600.0), (6500.0, 4300.0))


def gains_of(linear):
    """Stops that B's red and blue lack against green where A sends a neutral."""
    red, green, blue = linear
    return float(np.log2(green / red)), float(np.log2(green / blue))


@pytest.mark.parametrize("dial", [3200.0, 4300.0, 6500.0])
def test_b_is_dialled_to_the_light_where_a_is_balanced(dial):
    shown = adapted(light_xyz(5600.0, 0.003), light_xyz(dial, 0.0), D65_XYZ)
    found = dialling(BT709, WhitePoint(dial, 0.0), gains_of(to_rgb(shown, "BT.709")), 0.005)
    assert found.white.kelvin == pytest.approx(5600.0, rel=0.005)
    assert found.white.duv == pytest.approx(0.003, abs=2e-4)


def test_the_half_width_holds_for_cameras_of_measured_sensitivities():
    held = []
    for camera in cameras.sensitivities():
        for dial, kelvin in (
            (3200.0, 5600.0),
            (5600.0, 3200.0),
            (4300.0, 5600.0),
            (6500.0, 4300.0),
        ):
            light, dialled = cameras.black_body(kelvin), cameras.black_body(dial)
            linear = cameras.sent(camera, light, dialled, dialled)
            found = dialling(BT709, WhitePoint(dial, 0.0), gains_of(linear), 0.005)
            held.append(abs(found.white.kelvin - kelvin) <= found.kelvin_pm)
    assert np.mean(held) >= 0.95


def test_noise_widens_it_and_no_step_leaves_noise_alone():
    still = WhitePoint(5600.0, 0.0)
    sure, unsure = (dialling(BT709, still, (0.0, 0.0), pm).kelvin_pm for pm in (0.001, 0.02))
    assert 0.0 < sure < 10.0
    assert 10.0 * sure < unsure < 30.0 * sure


def test_a_balance_that_no_white_light_makes_has_nothing_to_dial():
    assert dialling(BT709, WhitePoint(5600.0, 0.0), (2.0, 2.0), 0.01) is None
