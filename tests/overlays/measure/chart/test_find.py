"""Finding charts: in the real picture, on made ones, and not where there is none."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from overlays.errors import (
    ChartNotFoundError,
    ChartPlaceError,
    ChartShadowError,
    ChartTurnedError,
)
from overlays.measure.chart.blobs import SmallPicture
from overlays.measure.chart.chart import read_chart
from overlays.measure.chart.editions import FIRST
from overlays.measure.chart.find import _sampled, find_chart
from overlays.measure.chart.reference import BENCH_CHART, CHART24
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from tests.chart_frames import mottled, painted, tiled, turned, upright
from tests.colour_frames import frame_of
from tests.overlays.measure.chart.test_chart import SCENES, independent, real_frame, real_truth

BT709 = published_gamut("BT.709")
SHAPE = (400, 560)


def linear_of(reference):
    return np.maximum(reference.linear(BT709), 1e-3)


def find(picture, bits=10, noise=1.0, **options):
    frame = frame_of(picture, bits=bits, noise=noise)
    return find_chart(frame, yardstick(frame.signal, published_curve("BT.709")), BT709, **options)


@pytest.mark.parametrize("degrees", [-100.0, -70.0, -20.0, 0.0, 12.0, 60.0, 90.0, 120.0])
@pytest.mark.parametrize("reference", [CHART24, BENCH_CHART], ids=lambda r: r.name)
def test_found_whatever_the_turn(reference, degrees):
    pitch = 42.0
    corners = upright(280.0 - 2.9 * pitch, 200.0 - 1.9 * pitch, pitch, reference.gap)
    corners = turned(corners, degrees, (280.0, 200.0), squeeze=0.08)
    found = find(painted(reference, corners, linear_of(reference) * 0.7, SHAPE))
    assert found.reference is reference
    assert np.abs(np.array(found.corners.points) - corners.points).max() < 0.1 * pitch
    assert found.likeness > 0.95


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("cast", [(1.0, 1.0, 1.0), (1.6, 1.0, 0.35), (0.6, 1.0, 1.5)])
@pytest.mark.parametrize("level", [0.1, 0.6])
def test_found_in_any_light(cast, level, bits):
    corners = upright(150.0, 120.0, 42.0)
    linear = linear_of(CHART24) * cast * level
    found = find(painted(CHART24, corners, linear, SHAPE, 0.004), bits, bits / 10.0)
    assert found.reference is CHART24


@pytest.mark.parametrize(
    "picture",
    [mottled(*SHAPE), tiled(*SHAPE, 8), tiled(*SHAPE, 40), np.full((*SHAPE, 3), 0.3)],
    ids=["stone", "small tiles", "large tiles", "nothing"],
)
def test_absent_gets_a_sentence(picture):
    with pytest.raises(ChartNotFoundError, match="no chart was found"):
        find(picture)


def test_another_chart_is_not_taken_for_it():
    corners = upright(150.0, 120.0, 42.0)
    picture = painted(BENCH_CHART, corners, linear_of(BENCH_CHART), SHAPE)
    with pytest.raises(ChartNotFoundError):
        find(picture, references=(CHART24,))


def test_upside_down_gets_a_sentence():
    corners = turned(upright(150.0, 120.0, 42.0), 185.0, (280.0, 200.0))
    with pytest.raises(ChartTurnedError, match="upside down"):
        find(painted(CHART24, corners, linear_of(CHART24), SHAPE))


@pytest.mark.parametrize(
    ("left", "top"), [(-60.0, 120.0), (370.0, 120.0), (150.0, -55.0), (150.0, 290.0)]
)
def test_cut_off_gets_a_sentence(left, top):
    corners = upright(left, top, 42.0)
    with pytest.raises((ChartPlaceError, ChartNotFoundError), match=r"cut off|no chart"):
        find(painted(CHART24, corners, linear_of(CHART24), SHAPE))


def test_a_column_cut_off_is_called_so():
    corners = upright(-45.0, 120.0, 42.0)
    with pytest.raises(ChartPlaceError, match="cut off by the frame"):
        find(painted(CHART24, corners, linear_of(CHART24), SHAPE))


@pytest.mark.parametrize("is_first", [True, False])
def test_of_two_charts_that_are_nearly_alike_the_one_that_is_cut_off_is_named(is_first):
    """A measured chart beside the built-in one of the same make."""
    mine = replace(CHART24, name="mine", xyz=CHART24.xyz ** np.linspace(0.7, 1.3, 24)[:, None])
    picture = painted(mine, upright(-45.0, 120.0, 42.0), linear_of(mine), SHAPE)
    both = (mine, CHART24) if is_first else (CHART24, mine)
    with pytest.raises(ChartPlaceError, match="the mine is cut off by the frame"):
        find(picture, references=both)


@pytest.mark.shared
@pytest.mark.skipif(not SCENES.exists(), reason="needs the pictures in ../shared/scenes")
@pytest.mark.parametrize("bits", [10, 8])
def test_the_real_chart_is_found_and_read(bits):
    frame = real_frame(bits)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    found = find_chart(frame, yard, BT709)
    corners, truth = real_truth()
    assert found.reference is CHART24
    away = np.array(found.corners.points) - corners.points
    assert np.abs(away).max() < 6.0  # pixels, on patches 90 apart
    reading = read_chart(frame, yard, BT709, FIRST, found.corners)
    _, error = independent(truth, CHART24)
    np.testing.assert_allclose([patch.de00 for patch in reading.patches], error, atol=0.5)


def test_subsampled_feeds_are_searched_too():
    frame = frame_of(
        painted(CHART24, upright(150.0, 120.0, 42.0), linear_of(CHART24) * 0.7, SHAPE), noise=1.0
    )
    luma, cb, cr = frame.planes
    half = Frame(
        (luma, cb[::2, ::2].copy(), cr[::2, ::2].copy()),
        Signal(bits=10, subsampling=Subsampling.S420),
    )
    found = find_chart(half, yardstick(half.signal, published_curve("BT.709")), BT709)
    assert found.reference is CHART24


@cache
def real_linear():
    """The real picture as linear R, G, B."""
    frame = real_frame(10)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    wide = [np.repeat(plane, 2, axis=1)[:, :1920] for plane in frame.planes[1:]]
    stored = np.stack([frame.planes[0], *wide], axis=-1) - yard.decoding.zero
    linear = yard.carried.light(stored @ yard.decoding.matrix.T)
    linear.flags.writeable = False  # one picture for all who ask
    return linear


def outcome(linear):
    """What is said of a picture of linear light, as a frame again."""
    frame = frame_of(linear)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    found = find_chart(frame, yard, BT709)
    return read_chart(frame, yard, BT709, found.reference, found.corners)


@pytest.mark.shared
@pytest.mark.skipif(not SCENES.exists(), reason="needs the pictures in ../shared/scenes")
@pytest.mark.parametrize("depth", [1.0, 3.0])
def test_the_real_chart_half_in_shadow_is_refused(depth):
    linear = real_linear().copy()
    linear[:, 1045:] *= 2.0**-depth
    with pytest.raises(ChartShadowError, match="shadow lies across"):
        outcome(linear)


@pytest.mark.shared
@pytest.mark.skipif(not SCENES.exists(), reason="needs the pictures in ../shared/scenes")
@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (np.rot90, ChartTurnedError),
        (lambda a: a[:, ::-1], ChartTurnedError),
        (lambda a: a[:, 1000:], ChartPlaceError),
        (lambda a: a[:650], ChartPlaceError),
    ],
    ids=["upside down", "mirrored", "cut off at the left", "cut off below"],
)
def test_the_real_chart_the_wrong_way_is_refused(change, fault):
    with pytest.raises(fault):
        outcome(np.ascontiguousarray(change(real_linear())))


def test_a_patch_is_sampled_on_the_nine_pixels_about_its_middle_and_no_others():
    yard = yardstick(Signal(10, subsampling=Subsampling.S444), published_curve("BT.709"))
    small = np.full((40, 60, 3), 0.9)
    middles = [(10.5, 10.5), (20.5, 10.5), (10.5, 20.5), (20.5, 20.5)]
    for x, y in middles:
        small[int(y) - 1 : int(y) + 2, int(x) - 1 : int(x) + 2] = 0.4
    matrix = np.array([[10.0, 0.0, 10.5], [0.0, 10.0, 10.5], [0.0, 0.0, 1.0]])
    seen, share = _sampled(SmallPicture(1, small), yard, matrix, 2, 2)
    assert share == 1.0
    np.testing.assert_allclose(seen, yard.carried.light(np.full((4, 3), 0.4)), rtol=1e-12)
