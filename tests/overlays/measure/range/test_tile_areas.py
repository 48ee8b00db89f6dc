"""What a picture looks like in tiles: levels, sizes, hot pixels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.range.tile_areas import block_edge, code_step, look_at
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling
from tests.crews import Backwards
from tests.overlays.measure.counting.test_census import LAYOUTS, frame_of

BT709 = published_curve("BT.709")


def grey(code, bits=10, rows=1080, columns=1920):
    kind = np.uint8 if bits == 8 else np.uint16
    luma = np.full((rows, columns), code, kind)
    half = np.full((rows, columns // 2), 1 << (bits - 1), kind)
    return Frame((luma, half, half), Signal(bits))


@pytest.mark.parametrize(
    ("rows", "columns", "edge"), [(1080, 1920, 2), (2160, 3840, 4), (360, 640, 1), (2, 2, 1)]
)
def test_a_tile_is_a_360th_of_the_picture_and_begins_where_chroma_does(rows, columns, edge):
    assert block_edge(rows, columns) == edge
    assert edge == 1 or edge % 2 == 0


@pytest.mark.parametrize(("bits", "code"), [(8, 126), (10, 504)])
def test_levels_are_10_bit_codes(bits, code):
    frame = grey(code, bits)
    areas = look_at(frame, yardstick(frame.signal, BT709))
    assert areas.tiles.shape == (3, 270, 480)
    np.testing.assert_allclose(areas.tiles, 504.0, atol=1e-3)
    np.testing.assert_allclose(areas.luma, 504.0, atol=1e-3)
    assert np.abs(areas.across).max() < 1e-3
    assert areas.percent(areas.level(37.5)) == pytest.approx(37.5)


def test_a_hot_pixel_moves_neither_its_tile_nor_its_peak():
    frame = grey(504)
    frame.planes[0][401, 403] = 1019
    areas = look_at(frame, yardstick(frame.signal, BT709))
    np.testing.assert_allclose(areas.tiles, 504.0, atol=1e-3)
    np.testing.assert_allclose(areas.peaks, 504.0, atol=1e-3)


def test_a_lamp_smaller_than_a_tile_is_a_peak():
    frame = grey(504)
    frame.planes[0][401:404, 403:406] = 900  # a whole block of 2x2 lies within 3x3
    areas = look_at(frame, yardstick(frame.signal, BT709))
    assert areas.peaks.max() == pytest.approx(900.0)


def test_the_step_of_a_feeds_codes():
    assert code_step(Signal(8)) == pytest.approx(4.0)
    assert code_step(Signal(10)) == code_step(Signal(10, Range.FULL)) == pytest.approx(1.0)
    assert code_step(Signal(12, subsampling=Subsampling.S444)) == pytest.approx(0.25)


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(LAYOUTS), st.integers(2, 60), st.integers(2, 60), st.integers(2, 9))
def test_whoever_looks_the_areas_are_the_same(layout, rows, columns, workers):
    frame = frame_of(layout, rows, columns)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    one, several = look_at(frame, yard), look_at(frame, yard, Backwards(workers))
    for name in ("tiles", "luma", "across", "peaks"):
        np.testing.assert_array_equal(getattr(one, name), getattr(several, name))
