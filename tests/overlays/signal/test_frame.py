"""Every layout is three views on the buffer it came in."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import FrameLayoutError
from overlays.signal.frame import Frame, packed_422, packed_rgb, planar, semi_planar_420
from overlays.signal.signal import Components, Range, Signal, Subsampling

sizes = st.integers(2, 9)


@given(rows=sizes, columns=sizes, order=st.sampled_from(["UYVY", "YUYV"]), pad=st.integers(0, 3))
def test_packed_422_views_are_where_the_samples_are(rows, columns, order, pad):
    pairs = (columns + 1) // 2
    stride = pairs * 4 + pad * 4
    buffer = np.arange(rows * stride, dtype=np.uint64).astype(np.uint8)
    luma, cb, cr = packed_422(buffer, rows, columns, order, stride)
    cube = buffer.reshape(rows, stride)[:, : pairs * 4].reshape(rows, pairs, 4)
    at = {name: order.index(name) for name in "UV"}
    np.testing.assert_array_equal(cb, cube[:, :, at["U"]])
    np.testing.assert_array_equal(cr, cube[:, :, at["V"]])
    first = order.index("Y")
    np.testing.assert_array_equal(
        luma, cube[:, :, [first, first + 2]].reshape(rows, -1)[:, :columns]
    )
    assert np.shares_memory(luma, buffer)


@given(rows=sizes, columns=sizes, sub=st.sampled_from(Subsampling), wide=st.booleans())
def test_planar_views(rows, columns, sub, wide):
    width = 2 if wide else 1
    c_rows, c_columns = -(-rows // sub.rows), -(-columns // sub.columns)
    total = (rows * columns + 2 * c_rows * c_columns) * width
    buffer = np.arange(total, dtype=np.uint64).astype(np.uint8)
    planes = planar(buffer, rows, columns, sub, width)
    flat = buffer.view("<u2") if wide else buffer
    np.testing.assert_array_equal(planes[0].ravel(), flat[: rows * columns])
    np.testing.assert_array_equal(planes[2].ravel(), flat[-c_rows * c_columns :])
    bits = 10 if wide else 8
    frame = Frame(planes, Signal(bits, subsampling=sub))
    assert (frame.rows, frame.columns) == (rows, columns)


def test_nv12_and_p010_split_pairs():
    nv12 = np.arange(4 * 4 + 8, dtype=np.uint8)
    luma, cb, cr = semi_planar_420(nv12, 4, 4)
    assert luma[3, 3] == 15
    assert (cb[1, 1], cr[1, 1]) == (22, 23)
    p010 = (np.arange(24, dtype=np.uint16) << 6).view(np.uint8)
    luma, cb, cr = semi_planar_420(p010, 4, 4, sample_bytes=2)
    assert (luma[3, 3] >> 6, cb[1, 1] >> 6, cr[1, 1] >> 6) == (15, 22, 23)


def test_rgb_orders():
    buffer = bytes(range(2 * 2 * 3))
    red, _, blue = packed_rgb(buffer, 2, 2, "BGR")
    assert (red[1, 1], blue[1, 1]) == (11, 9)
    frame = Frame(
        packed_rgb(buffer, 2, 2),
        Signal(8, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444),
    )
    assert frame.planes[1][0, 1] == 4


def test_a_short_buffer_is_refused_with_both_sizes():
    with pytest.raises(FrameLayoutError, match="31 bytes, 32 expected"):
        packed_422(bytes(31), 4, 4)


def test_planes_that_do_not_belong_together_are_refused():
    luma = np.zeros((4, 4), np.uint8)
    with pytest.raises(FrameLayoutError, match="4:2:0 needs 2x2"):
        Frame((luma, luma, luma), Signal(subsampling=Subsampling.S420))
    with pytest.raises(FrameLayoutError, match="sample size"):
        Frame((luma, luma.astype(np.uint16), luma), Signal(subsampling=Subsampling.S444))


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (1, 8), (8, 1)])
def test_a_picture_too_small_to_judge_noise_is_refused(rows, columns):
    plane = np.zeros((rows, columns), np.uint8)
    with pytest.raises(FrameLayoutError, match=f"{columns}x{rows} pixels; the smallest"):
        Frame((plane, plane, plane), Signal(subsampling=Subsampling.S444))


def test_depth_and_order_are_checked():
    plane = np.zeros((2, 2), np.uint8)
    with pytest.raises(FrameLayoutError, match="7 bits"):
        Frame((plane, plane, plane), Signal(7, subsampling=Subsampling.S444))
    with pytest.raises(FrameLayoutError, match="VYUY"):
        packed_422(bytes(64), 2, 2, "VYUY")
