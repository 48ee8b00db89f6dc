"""A saturated patch, made by colour-science: 601 read as 709, and chroma of another range."""

from dataclasses import replace

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import UnknownPatchError
from overlays.measure.chart.reference import BUILT_IN, CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.patch import (
    PATCHES,
    SaturatedPatch,
    matrix_of,
    patch_of,
    saturated,
    telling_patch,
    told_apart,
    weigh_patches,
)
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.gamuts import published_gamut
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix, Range, Signal
from tests.made_feeds import grey_frame

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


def weighed(*patches, deliveries=(LIMITED,), signal=SIGNAL, **more):
    """Against a card at mid-grey."""
    card = float(LIMITED.codes(np.array([0.18]), 10)[0])
    return weigh_patches(patches, card, deliveries, signal, **more)


def left(*patches, **more):
    """Matrices that are possible."""
    return {each.matrix for each in weighed(*patches, **more) if each.possible}


@pytest.mark.parametrize("matrix", list(Matrix))
@pytest.mark.parametrize("name", ["red", "green", "blue", "magenta"])
def test_the_right_matrix_is_possible_and_the_nearest(matrix, name):
    found = weighed(patch(name, matrix))
    assert found[0].possible
    assert found[0].off_share < 0.012  # codes are whole
    assert found[0].matrix is matrix


@pytest.mark.parametrize("seed", range(8))
def test_no_other_matrix_is_told_for_a_camera_whose_colours_are_off_as_stated(seed):
    rng = np.random.default_rng(seed)
    for name in PATCHES[:4]:
        for matrix in Matrix:
            read = patch(name, matrix, rng.uniform(0.93, 1.07, 3))
            said = matrix_of(weighed(read), SIGNAL)
            assert said in {None, matrix}


def test_names_that_read_greys_alike_read_colours_within_two_percent():
    """Chroma of limited range has 896 codes where luma has 876 (ITU-R BT.2100-2 Table 9)."""
    curve = published_curve("sRGB")
    names = [Delivery(curve, Carriage.FULL, each) for each in (Range.LIMITED, Range.FULL)]
    linear = CHART24.linear(published_gamut("BT.709"))[CHART24.names.index("red")]
    rgb = np.asarray(curve.encode(np.maximum(linear, 0.0)))
    weights = colour.WEIGHTS_YCBCR["ITU-R BT.709"]
    codes = colour.RGB_to_YCbCr(rgb, weights, out_bits=10, out_legal=False, out_int=True)
    grey = float(names[1].codes(np.array([0.18]), 10)[0])
    found = weigh_patches([SaturatedPatch(tuple(map(float, codes)))], grey, names, SIGNAL)
    right = {e.delivery.range: e.off_share for e in found if e.matrix is Matrix.BT709}
    assert right[Range.FULL] < 0.012
    assert right[Range.LIMITED] < 0.04  # two percent of E', through the slope of the curve


def test_rgb_has_no_matrix():
    signal = Signal(10, components=Components.RGB)
    light = CHART24.linear(published_gamut("BT.709"))[CHART24.names.index("red")]
    codes = 64.0 + 876.0 * colour.models.oetf_BT709(np.maximum(light, 0.0))
    found = weighed(SaturatedPatch(tuple(map(float, codes))), signal=signal)
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
    (found,) = (each for each in weighed(patch(name, sent)) if each.matrix is read)
    told = told_apart(name, LIMITED, [sent, read], SIGNAL)
    assert told == pytest.approx(found.off_share, abs=0.012)  # codes are whole


def test_the_most_telling_patch_is_that_which_differs_most():
    matrices = [Matrix.BT601, Matrix.BT709]
    best, far = telling_patch(LIMITED, matrices, SIGNAL)
    every = [told_apart(name, LIMITED, matrices, SIGNAL) for name in PATCHES]
    assert (best, far) == ("green", max(every))
    # Of three those two count that it tells farthest apart: one of them is then ruled out.
    assert telling_patch(LIMITED, list(Matrix), SIGNAL)[1] >= far
    second, less = telling_patch(LIMITED, matrices, SIGNAL, {"green"})
    assert second != "green"
    assert less < far
    assert telling_patch(LIMITED, matrices, SIGNAL, PATCHES) is None


def test_patches_decide_where_one_does_not():
    """601 sent: red leaves 2020, green rules it out; each alone or both leave the truth."""
    red, green, blue = (patch(name, Matrix.BT601) for name in ("red", "green", "blue"))
    assert left(red) == {Matrix.BT601, Matrix.BT2020}
    assert left(blue) == set(Matrix)
    assert left(red, blue) == {Matrix.BT601, Matrix.BT2020}
    found = weighed(red, blue, green)
    assert matrix_of(found, SIGNAL) is Matrix.BT601
    assert found[0].possible
    assert [each.possible for each in found] == [True, False, False]
    assert {each.worst for each in found[1:]} == {"green"}


@pytest.mark.parametrize("sent", list(Matrix))
def test_who_knows_the_cameras_colours_better_has_each_matrix_decided(sent):
    six = [patch(name, sent) for name in PATCHES]
    assert sent in left(*six)
    assert matrix_of(weighed(*six, within=0.03), SIGNAL) is sent


def test_more_patches_decide_more_of_many_cameras():
    """Every patch off by up to 7 % in each of R, G, B: one is decided seldom, six oftener."""
    rng = np.random.default_rng(2)
    alone, together, cameras = 0, 0, 60
    for number in range(cameras):
        sent = list(Matrix)[number % 3]
        six = [patch(name, sent, rng.uniform(0.93, 1.07, 3)) for name in PATCHES]
        alone += left(six[0]) == {sent}
        together += left(*six) == {sent}
        assert sent in left(*six)
    assert together > 2 * alone
    assert together > 0.5 * cameras


@given(
    st.sampled_from(list(Matrix)),
    st.lists(st.sampled_from(PATCHES), min_size=1, max_size=6, unique=True),
    st.lists(st.floats(0.92, 1.08), min_size=18, max_size=18),
)
def test_a_patch_more_never_brings_a_matrix_back_and_the_truth_is_never_ruled_out(
    sent, names, factors
):
    rows = np.array(factors).reshape(6, 3)
    read = [patch(name, sent, row) for name, row in zip(names, rows, strict=False)]
    before = set(Matrix)
    for count in range(1, len(read) + 1):
        now = left(*read[:count])
        assert now <= before
        assert sent in now
        before = now


def test_what_a_patch_is_unsure_of_is_not_held_against_a_matrix():
    red = patch("red", Matrix.BT601)
    vague = replace(red, codes_pm=(12.0, 12.0, 12.0))
    assert left(red) < left(vague) == set(Matrix)


def test_a_spot_says_its_codes_and_how_sure_they_are():
    rng = np.random.default_rng(3)
    codes = np.clip(np.rint(400.0 + rng.normal(0.0, 4.0, (64, 64))), 0, 1023)
    frame = grey_frame(codes, 10)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    read = patch_of(read_spot(frame, yard, SpotPlace(32, 32, 32)), "green")
    assert read.codes[0] == pytest.approx(400.0, abs=1.0)
    assert 0.1 < read.codes_pm[0] < 1.5
    assert read.patch == "green"


@pytest.mark.parametrize("chart", BUILT_IN, ids=lambda chart: chart.name)
def test_saturated_patches_of_a_chart_are_no_greys_and_no_skins(chart):
    names = saturated(chart)
    assert 8 <= len(names) <= 14
    assert not {chart.names[n] for n in chart.neutrals} & set(names)
    assert not {"light skin", "dark skin", "blue flower"} & set(names)
    if chart is CHART24:
        assert set(PATCHES) <= set(names)
