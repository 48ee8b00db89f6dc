"""A saturated patch, made by colour-science: 601 read as 709, and chroma of another range."""

import colour
import numpy as np
import pytest

from overlays.errors import UnknownPatchError
from overlays.measure.chart.reference import CHART24
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.patch import (
    PATCHES,
    SaturatedPatch,
    matrix_of,
    telling_patch,
    told_apart,
    weigh_patch,
)
from overlays.signal.gamuts import published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix, Range, Signal

SIGNAL = Signal(10)
LIMITED = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
WEIGHTS = {
    Matrix.BT709: "ITU-R BT.709",
    Matrix.BT601: "ITU-R BT.601",
    Matrix.BT2020: "ITU-R BT.2020",
}


def patch(name, matrix, factors=(1.0, 1.0, 1.0), legal=True):
    """Codes of a patch whose R, G, B a camera makes by so much too strong."""
    linear = CHART24.linear(published_gamut("BT.709"))[CHART24.names.index(name)]
    rgb = colour.models.oetf_BT709(np.maximum(linear * factors, 0.0))
    weights = colour.WEIGHTS_YCBCR[WEIGHTS[matrix]]
    codes = colour.RGB_to_YCbCr(rgb, weights, out_bits=10, out_legal=legal, out_int=True)
    return SaturatedPatch(tuple(float(v) for v in codes), name)


@pytest.mark.parametrize("matrix", list(Matrix))
@pytest.mark.parametrize("name", ["red", "green", "blue", "magenta"])
def test_the_right_matrix_is_possible_and_the_nearest(matrix, name):
    found = weigh_patch(patch(name, matrix), 0.18, [LIMITED], SIGNAL)
    assert found[0].possible
    assert found[0].off_share < 0.012  # codes are whole
    assert found[0].matrix is matrix


@pytest.mark.parametrize("seed", range(8))
def test_no_other_matrix_is_told_for_a_camera_whose_colours_are_off_as_stated(seed):
    rng = np.random.default_rng(seed)
    for name in PATCHES[:4]:
        for matrix in Matrix:
            read = patch(name, matrix, rng.uniform(0.93, 1.07, 3))
            said = matrix_of(weigh_patch(read, 0.18, [LIMITED], SIGNAL), SIGNAL)
            assert said in {None, matrix}


def test_names_that_read_greys_alike_read_colours_within_two_percent():
    """Chroma of limited range has 896 codes where luma has 876 (ITU-R BT.2100-2 Table 9)."""
    curve = published_curve("sRGB")
    names = [Delivery(curve, Carriage.FULL, each) for each in (Range.LIMITED, Range.FULL)]
    linear = CHART24.linear(published_gamut("BT.709"))[CHART24.names.index("red")]
    rgb = np.asarray(curve.encode(np.maximum(linear, 0.0)))
    weights = colour.WEIGHTS_YCBCR["ITU-R BT.709"]
    codes = colour.RGB_to_YCbCr(rgb, weights, out_bits=10, out_legal=False, out_int=True)
    found = weigh_patch(SaturatedPatch(tuple(map(float, codes))), 0.18, names, SIGNAL)
    right = {e.delivery.range: e.off_share for e in found if e.matrix is Matrix.BT709}
    assert right[Range.FULL] < 0.012
    assert right[Range.LIMITED] < 0.04  # two percent of E', through the slope of the curve


def test_rgb_has_no_matrix():
    signal = Signal(10, components=Components.RGB)
    light = CHART24.linear(published_gamut("BT.709"))[CHART24.names.index("red")]
    codes = 64.0 + 876.0 * colour.models.oetf_BT709(np.maximum(light, 0.0))
    found = weigh_patch(SaturatedPatch(tuple(map(float, codes))), 0.18, [LIMITED], signal)
    assert found[0].possible
    assert matrix_of(found, signal) is None


def test_a_patch_of_no_known_colour_is_refused():
    with pytest.raises(UnknownPatchError, match="red, green, blue"):
        SaturatedPatch((0.0, 0.0, 0.0), "mauve")


@pytest.mark.parametrize(
    ("sent", "read"), [(Matrix.BT601, Matrix.BT709), (Matrix.BT709, Matrix.BT2020)]
)
@pytest.mark.parametrize("name", sorted(set(PATCHES) - {"cyan"}))  # whose R is below 0 in BT.709
def test_how_far_a_patch_tells_matrices_apart_is_what_colour_science_makes_of_it(name, sent, read):
    (found,) = (
        each
        for each in weigh_patch(patch(name, sent), 0.18, [LIMITED], SIGNAL)
        if each.matrix is read
    )
    told = told_apart(name, LIMITED, [sent, read], SIGNAL)
    assert told == pytest.approx(found.off_share, abs=0.012)  # codes are whole


def test_the_most_telling_patch_is_that_which_differs_most():
    matrices = [Matrix.BT601, Matrix.BT709]
    best, far = telling_patch(LIMITED, matrices, SIGNAL)
    every = [told_apart(name, LIMITED, matrices, SIGNAL) for name in PATCHES]
    assert (best, far) == ("green", max(every))
    # Of three the two that are nearest count.
    assert telling_patch(LIMITED, list(Matrix), SIGNAL)[1] < far
