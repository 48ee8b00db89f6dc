"""The census against plain NumPy over every layout."""

import numpy as np
import pytest

from overlays.measure.counting.census import (
    Wants,
    census_in_steps,
    histogram,
    level_scale,
    take_census,
)
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame, packed_422, packed_rgb, planar, semi_planar_420
from overlays.signal.levels import decoding
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix, Range, Signal, Subsampling
from tests.crews import Backwards

BT709 = published_curve("BT.709")
ALL = Wants.LEVELS | Wants.CHROMA | Wants.RGB | Wants.CLIPPING


def frame_of(layout, rows=37, columns=51, seed=5):
    rng = np.random.default_rng(seed)
    pairs = (columns + 1) // 2

    def some(count, top=256, dtype=np.uint8):
        return rng.integers(0, top, count).astype(dtype)

    if layout in {"UYVY", "YUYV"}:
        return Frame(packed_422(some(rows * pairs * 4), rows, columns, layout), Signal())
    if layout == "NV12":
        buffer = some((rows + (rows + 1) // 2) * pairs * 2)
        return Frame(
            semi_planar_420(buffer, rows, columns, stride=pairs * 2),
            Signal(matrix=Matrix.BT601, subsampling=Subsampling.S420),
        )
    if layout == "P010":
        buffer = (some((rows + (rows + 1) // 2) * pairs * 2, 1024, np.uint16) << 6).view(np.uint8)
        return Frame(
            semi_planar_420(buffer, rows, columns, 2, pairs * 4),
            Signal(10, matrix=Matrix.BT2020, subsampling=Subsampling.S420),
            shift=6,
        )
    if layout == "RGB":
        return Frame(
            packed_rgb(some(rows * columns * 3), rows, columns),
            Signal(8, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444),
        )
    bits, sub = (int(layout[3:]), Subsampling.S422) if layout[2] == "2" else (10, Subsampling.S444)
    c_rows, c_columns = -(-rows // sub.rows), -(-columns // sub.columns)
    buffer = some(rows * columns + 2 * c_rows * c_columns, 1 << bits, np.uint16).view(np.uint8)
    return Frame(planar(buffer, rows, columns, sub, 2), Signal(bits, subsampling=sub))


LAYOUTS = ["UYVY", "YUYV", "NV12", "P010", "RGB", "42210", "42212", "42216", "444"]


def full_size(frame):
    """(rows, columns, 3) codes, chroma repeated."""
    sub = frame.signal.subsampling
    out = []
    for index, plane in enumerate(frame.planes):
        codes = plane.astype(np.int64) >> frame.shift
        if index:
            codes = codes.repeat(sub.rows, 0).repeat(sub.columns, 1)
        out.append(codes[: frame.rows, : frame.columns])
    return np.stack(out, axis=-1)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_counts_are_those_of_plain_numpy(layout):
    frame = frame_of(layout)
    yard = yardstick(frame.signal, BT709, shift=frame.shift)
    census = take_census(frame, yard, ALL)
    codes = full_size(frame)
    down = frame.signal.bits - census.bits
    if frame.signal.components is Components.RGB:
        luma = np.floor(codes @ np.array([13933, 46871, 4732]) / 65536 + 0.5).astype(int)
    else:
        luma = codes[..., 0] >> down
        chroma = np.zeros((256, 256), int)
        cb, cr = (
            (p.astype(np.int64) >> frame.shift >> (frame.signal.bits - 8)).ravel()
            for p in frame.planes[1:]
        )
        np.add.at(chroma, (cb, cr), 1)
        np.testing.assert_array_equal(census.chroma, chroma)
    assert int(census.levels.sum()) == frame.rows * frame.columns
    for column in range(frame.columns):
        np.testing.assert_array_equal(
            census.levels[column], np.bincount(luma[:, column], minlength=1 << census.bits)
        )
    np.testing.assert_array_equal(
        histogram(census), np.bincount(luma.ravel(), minlength=1 << census.bits)
    )


@pytest.mark.parametrize("layout", LAYOUTS)
def test_rgb_counts_and_clipping(layout):
    frame = frame_of(layout)
    yard = yardstick(frame.signal, BT709, shift=frame.shift)
    census = take_census(frame, yard, ALL)
    back = decoding(frame.signal)
    nominal = (full_size(frame) - back.zero) @ back.matrix.T
    limit = (yard.clip_percent - yard.clip_margin_percent) / 100.0
    assert np.abs(census.clipped - (nominal >= limit).sum(axis=(0, 1))).max() <= 2
    limited = frame.signal.range is Range.LIMITED
    level = nominal * (219 if limited else 255) + (16 if limited else 0)
    index = np.clip(np.floor(level + 0.5), 0, 255).astype(int)
    for channel in range(3):
        counted = census.rgb[channel].sum(axis=0).astype(int)
        expected = np.bincount(index[..., channel].ravel(), minlength=256)
        # 16-bit fixed point against float64 may put a pixel that lies on an edge to either side
        assert np.abs(counted - expected).sum() <= 6
        assert counted.sum() == expected.sum()


def test_wide_pictures_share_columns_and_lose_no_pixel():
    luma = np.zeros((4, 3001), np.uint8)
    half = np.zeros((4, 1501), np.uint8)
    frame = Frame((luma, half, half), Signal())
    census = take_census(frame, yardstick(frame.signal, BT709))
    assert census.group == 3
    assert census.levels.shape == (1001, 256)
    assert int(census.levels[:, 0].sum()) == 4 * 3001


def test_arrays_are_used_again_and_filled_anew():
    frame = frame_of("UYVY")
    yard = yardstick(frame.signal, BT709)
    first = take_census(frame, yard, ALL)
    levels, kept = first.levels, first.levels.copy()
    second = take_census(frame, yard, ALL, reuse=first)
    assert second.levels is levels
    np.testing.assert_array_equal(levels, kept)
    other = take_census(frame_of("UYVY", 20, 30), yard, Wants.LEVELS, reuse=first)
    assert other.levels is not levels
    assert other.rgb is None


@pytest.mark.parametrize("steps", [1, 2, 5, 200])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_counted_in_steps_it_is_the_same(layout, steps):
    frame = frame_of(layout)
    yard = yardstick(frame.signal, BT709, shift=frame.shift)
    whole, other = take_census(frame, yard, ALL), take_census(frame_of(layout, seed=6), yard, ALL)
    made = list(census_in_steps(frame, yard, ALL, other, Backwards(2), steps))
    assert len(made) == steps
    assert all(each is other for each in made)
    for name in ("levels", "rgb", "clipped"):
        np.testing.assert_array_equal(getattr(other, name), getattr(whole, name))
    assert (other.chroma is None) is (whole.chroma is None)
    if whole.chroma is not None:
        np.testing.assert_array_equal(other.chroma, whole.chroma)


def test_what_is_not_wanted_is_not_there():
    frame = frame_of("UYVY")
    census = take_census(frame, yardstick(frame.signal, BT709))
    assert (census.chroma, census.rgb, census.clipped) == (None, None, None)


def test_scale_of_the_levels():
    frame = frame_of("42212")
    census = take_census(frame, yardstick(frame.signal, BT709))
    scale = level_scale(census, frame.signal)
    assert (census.bits, scale.zero, scale.zero + scale.span) == (10, 64, 940)


@pytest.mark.parametrize(("rows", "columns"), [(66_000, 8), (33_000, 1281)])
def test_a_column_of_a_big_still_counts_beyond_65535(rows, columns):
    # Columns of 66 000 pixels: one alone, and two that share a column of the census.
    grey = np.broadcast_to(np.uint8(126), (rows, columns))
    half = np.broadcast_to(np.uint8(128), (rows, -(-columns // 2)))
    planes = (grey[:, :1].repeat(columns, 1), half, half)
    frame = Frame(tuple(np.ascontiguousarray(p) for p in planes), Signal())
    census = take_census(frame, yardstick(frame.signal, BT709), Wants.LEVELS | Wants.RGB)
    assert int(histogram(census)[126]) == rows * columns
    assert [int(c[:, 126].sum()) for c in census.rgb] == [rows * columns] * 3
    small = take_census(frame_of("UYVY"), yardstick(Signal(), BT709), Wants.LEVELS | Wants.RGB)
    assert small.levels.dtype == small.rgb.dtype == np.uint16
