"""Looks compared on a chart whose change is known."""

from dataclasses import replace

import colour
import numpy as np
import pytest

from overlays.errors import ChartError
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.looks import HUES, PatchChange, _by_hue, compare_looks, hue_name
from overlays.measure.chart.reference import BENCH_CHART, CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from tests.chart_frames import painted, upright
from tests.colour_frames import frame_of

WIDE = published_gamut("BT.2020")
LAB = CHART24.lab


def reading(lab, reference=CHART24):
    """A reading of a chart painted with the given L*a*b* under D65, by colour-science."""
    xyz = colour.Lab_to_XYZ(lab, (0.3127, 0.3290))
    linear = np.maximum(xyz @ WIDE.from_xyz.T, 1e-4)
    frame = frame_of(painted(reference, upright(), linear * 0.8), noise=0.7)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    return read_chart(frame, yard, WIDE, reference, upright())


@pytest.fixture(scope="module")
def plain():
    return reading(LAB)


def test_more_saturated_and_turned(plain):
    lab = LAB.copy()
    angle = np.radians(8.0)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    lab[:18, 1:] = lab[:18, 1:] @ turn * 0.8
    lab[:18, 0] += 2.0
    found = compare_looks(plain, reading(lab))
    for change in found.patches[:18]:
        assert change.saturation == pytest.approx(0.8, abs=0.03)
        assert change.turn_deg == pytest.approx(8.0, abs=1.5)
        assert change.lightness == pytest.approx(2.0, abs=0.3)
    for change in found.patches[18:]:
        assert (change.hue, change.saturation, change.turn_deg) == ("neutral", None, None)
    assert {hue.hue for hue in found.hues} <= {name for name, _ in HUES}
    assert sum(hue.patches for hue in found.hues) == 18
    for hue in found.hues:
        assert hue.saturation == pytest.approx(0.8, abs=0.02)
        assert hue.turn_deg == pytest.approx(8.0, abs=1.0)


def test_the_same_look_does_not_change(plain):
    found = compare_looks(plain, plain)
    assert found.mean_de00 == 0.0
    assert all(hue.saturation == 1.0 and hue.turn_deg == 0.0 for hue in found.hues)


def test_clipped_patches_are_left_out_and_named(plain):
    patches = list(plain.patches)
    patches[14] = replace(patches[14], lab=None, de00=None)
    found = compare_looks(plain, replace(plain, patches=tuple(patches)))
    assert len(found.patches) == 23
    assert any("left out" in sentence and "red" in sentence for sentence in found.warnings)
    gone = replace(plain, patches=tuple(replace(patch, lab=None) for patch in patches))
    with pytest.raises(ChartError, match="every patch is clipped"):
        compare_looks(plain, gone)


def test_two_different_charts_get_a_sentence(plain):
    with pytest.raises(ChartError, match="different charts"):
        compare_looks(plain, replace(plain, reference=BENCH_CHART))


def test_pure_colours_have_their_names():
    # The corners of the BT.709 cube, to L*a*b* by colour-science.
    cube = {
        "red": (1, 0, 0),
        "yellow": (1, 1, 0),
        "green": (0, 1, 0),
        "cyan": (0, 1, 1),
        "blue": (0, 0, 1),
        "magenta": (1, 0, 1),
    }
    to_xyz = colour.RGB_COLOURSPACES["ITU-R BT.709"].matrix_RGB_to_XYZ
    for name, rgb in cube.items():
        lab = colour.XYZ_to_Lab(to_xyz @ np.array(rgb, dtype=float), (0.3127, 0.3290))
        angle = float(np.degrees(np.arctan2(lab[2], lab[1])) % 360.0)
        assert hue_name(angle) == name, angle


@pytest.mark.parametrize("turn", [0.0, 359.9, 720.0, -10.0])
def test_any_angle_has_a_name(turn):
    assert hue_name(turn) in {name for name, _ in HUES}


@pytest.mark.parametrize(
    ("saturation", "turn", "has_a_hue"), [(0.8, 5.0, True), (0.0, 5.0, False), (None, None, False)]
)
def test_a_hue_is_told_of_what_has_saturation_and_angle(saturation, turn, has_a_hue):
    # What lost all its colour has no ratio that a mean of ratios could be made of.
    name = HUES[0][0]
    change = PatchChange("p", name, (50.0, 20.0, 0.0), (50.0, 0.0, 0.0), saturation, turn, 0.0, 9.0)
    assert [each.hue for each in _by_hue([change])] == [name] * has_a_hue


def test_a_colour_that_has_none_is_compared_as_a_grey(plain):
    grey = replace(plain.patches[0], lab=(50.0, 0.0, 0.0))
    first = replace(plain, patches=(grey, *plain.patches[1:]))
    assert compare_looks(first, plain).patches[0].saturation is None


def test_one_name_ends_and_the_next_begins_halfway_between_two_pure_colours():
    """Their hue angles: those of the pure colours of BT.709 in CIELAB, whole degrees."""
    pure = {"red": 40, "yellow": 103, "green": 136, "cyan": 196, "blue": 306, "magenta": 328}
    names = list(pure)
    for name, after in zip(names, [*names[1:], names[0]], strict=True):
        halfway = pure[name] + (pure[after] - pure[name]) % 360 / 2.0
        assert hue_name(halfway - 1.0) == name
        assert hue_name(halfway + 1.0) == after
