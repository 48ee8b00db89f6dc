import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FeedFormatError
from firmware.feeds.camera_options import CameraOptions, CameraStream
from firmware.feeds.camera_settled import PICTURES, settled
from overlays.signal.signal import Components, Range


def became(name="NV12", size=(16, 8), stride=32, raw=None):
    return {"main": {"size": size, "stride": stride, "format": name}, "raw": raw}


@given(
    st.sampled_from(list(PICTURES)),
    st.integers(2, 20),
    st.integers(1, 10),
    st.integers(0, 17),
    st.integers(0, 50),
)
def test_every_sample_is_where_libcamera_lays_it(name, half_columns, half_rows, padding, spare):
    # libcamera, formats.cpp: YUV420 is Y, Cb, Cr with chroma rows of half the stride; NV12 is Y,
    # then Cb and Cr in turn in rows of the same stride.
    columns, rows = 2 * half_columns, 2 * half_rows
    stride = columns + 2 * padding
    luma = np.arange(rows * columns).reshape(rows, columns) % 251
    blue, red = (np.full((half_rows, half_columns), code) for code in (7, 9))
    flat = np.zeros(stride * rows * 3 // 2 + spare, np.uint8)
    flat[: stride * rows].reshape(rows, stride)[:, :columns] = luma
    chroma = flat[stride * rows : stride * rows * 3 // 2]
    if name == "NV12":
        lines = chroma.reshape(half_rows, stride)
        lines[:, 0:columns:2], lines[:, 1:columns:2] = blue, red
    else:
        for plane, at in zip((blue, red), np.split(chroma, 2), strict=True):
            at.reshape(half_rows, stride // 2)[:, :half_columns] = plane
    found = settled(became(name, (columns, rows), stride), CameraOptions())
    assert found.size == (columns, rows)
    for one, other in zip(found.planes(flat), (luma, blue, red), strict=True):
        np.testing.assert_array_equal(one, other)
    assert found.signal.range is Range.LIMITED


def test_counts_are_half_the_size_and_full_range():
    raw = {"size": (16, 8), "stride": 32, "format": "SBGGR16"}
    found = settled(became(raw=raw), CameraOptions(CameraStream.RAW))
    assert (found.size, found.signal.components) == ((8, 4), Components.RGB)
    red, _, _ = found.planes(np.zeros(8 * 32, np.uint8))
    assert red.shape == (4, 8)
    with pytest.raises(FeedFormatError, match="255 bytes"):
        found.planes(np.zeros(8 * 32 - 1, np.uint8))
