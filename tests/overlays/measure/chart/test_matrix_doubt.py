"""Another matrix is suspected from a chart where it is so, and not of cameras' own colours."""

import re
from dataclasses import replace

import colour
import numpy as np
import pytest

from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.reference import CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix
from tests.asking import asked
from tests.chart_frames import painted, upright
from tests.colour_frames import SPACE, frame_of
from tests.places import SCENES

SPACE_709 = colour.RGB_COLOURSPACES[SPACE["BT.709"]]
LINEAR = np.linalg.solve(SPACE_709.matrix_RGB_to_XYZ, CHART24.xyz.T).T
NEUTRALS = [19, 20, 21, 22]


def doubts(linear, matrix=Matrix.BT601, noise=0.3):
    """What is suspected of a chart sent by BT.709's matrix and read by another."""
    frame = frame_of(painted(CHART24, upright(), linear), noise=noise)
    signal = replace(frame.signal, matrix=matrix)
    yard = yardstick(signal, published_curve("BT.709"))
    found = read_chart(
        replace(frame, signal=signal), yard, published_gamut("BT.709"), CHART24, upright()
    )
    return [each for each in found.warnings if "the matrix is" in each]


def misread(linear):
    """Mean CIEDE2000 of BT.709's Y'CbCr taken for BT.601's, by colour-science alone."""
    code = colour.models.oetf_BT709(np.maximum(linear, 0.0))
    weights = [colour.WEIGHTS_YCBCR[name] for name in ("ITU-R BT.709", "ITU-R BT.601")]
    sent = colour.RGB_to_YCbCr(code, K=weights[0], out_range=(0, 1, -0.5, 0.5))
    back = colour.YCbCr_to_RGB(sent, K=weights[1], in_range=(0, 1, -0.5, 0.5))
    light = colour.models.oetf_inverse_BT709(back)
    light = light * np.exp(np.log(LINEAR[NEUTRALS] / light[NEUTRALS]).mean(axis=0))
    lab = colour.XYZ_to_Lab(light @ SPACE_709.matrix_RGB_to_XYZ.T, (0.3127, 0.3290))
    wanted = colour.XYZ_to_Lab(CHART24.xyz, (0.3127, 0.3290))
    return float(np.mean(colour.delta_E(lab, wanted, method="CIE 2000")))


def test_a_wrong_matrix_is_suspected_with_what_it_costs():
    (said,) = doubts(0.8 * LINEAR)
    off, now = re.search(
        r"the matrix is BT.709, by which the chart is off by ([\d.]+), not BT.601, by which it is "
        r"off by ([\d.]+): try --matrix BT.709$",
        said,
    ).groups()
    assert float(off) < 0.3
    # Cyan lies outside of the primaries and is cut by the matrix's black: a little apart.
    assert float(now) == pytest.approx(misread(0.8 * LINEAR), abs=0.2)
    # Issue 14 measured 2.2 of 601 for 709 on a chart.
    assert float(now) == pytest.approx(2.2, abs=0.3)


def test_the_right_one_is_not_doubted():
    assert doubts(0.8 * LINEAR, Matrix.BT709) == []


def test_a_camera_of_other_colours_is_not_doubted():
    # Twelve per cent more saturated, and another hue of red: errors as cameras have them.
    camera = np.array([[1.12, -0.10, -0.02], [-0.04, 1.10, -0.06], [0.02, -0.14, 1.12]])
    assert doubts(0.7 * LINEAR @ camera.T, Matrix.BT709) == []


def test_colours_as_rgb_have_no_matrix():
    frame = frame_of(painted(CHART24, upright(), 0.8 * LINEAR))
    assert frame.signal.components is not Components.RGB
    found = asked("chart", feed="bench:size=640x360,signal=rgb-10")
    assert not any("the matrix is" in each for each in found["warnings"])


@pytest.mark.skipif(not SCENES.is_dir(), reason="needs the pictures of known truth")
def test_a_real_camera_with_errors_of_its_own_is_not_doubted():
    feed = str(SCENES / "s02-chart24-8.mkv")
    found = asked("chart", feed=feed, profile="standard", range="limited")
    assert found["mean_de00"] > 1.5
    assert not any("the matrix is" in each for each in found["warnings"])
