"""Every layout against a picture written byte by byte, with and without padded rows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.v4l2.formats import LAYOUTS, is_whole_jpeg
from overlays.errors import FrameLayoutError

ROWS, COLUMNS = 4, 6


def planes_for(layout, rows, columns):
    sub = layout.subsampling
    top = (1 << layout.bits) - 1
    random = np.random.default_rng(7)
    c_shape = (-(-rows // sub.rows), -(-columns // sub.columns))
    shapes = ((rows, columns), c_shape, c_shape)
    return [random.integers(0, top + 1, shape) for shape in shapes]


def written(name, planes, padding):
    """The bytes of a picture, as the kernel's format pages list them."""
    first, second, third = planes
    lines = []
    if name in {"UYVY", "YUYV"}:
        for row in range(first.shape[0]):
            line = []
            for pair in range(second.shape[1]):
                y0, y1 = first[row, 2 * pair], first[row, 2 * pair + 1]
                u, v = second[row, pair], third[row, pair]
                line += [u, y0, v, y1] if name == "UYVY" else [y0, u, y1, v]
            lines.append(bytes(line))
    elif name in {"RGB3", "BGR3"}:
        order = (first, second, third) if name == "RGB3" else (third, second, first)
        lines = [np.stack(order, -1)[row].astype(np.uint8).tobytes() for row in range(len(first))]
    elif name in {"NV12", "P010"}:
        kind = np.uint8 if name == "NV12" else "<u2"
        shift = 0 if name == "NV12" else 6
        both = np.stack((second, third), -1).reshape(second.shape[0], -1)
        lines = [(row << shift).astype(kind).tobytes() for row in (*first, *both)]
    else:
        lines = [row.astype(np.uint8).tobytes() for row in first]
        half = [row.astype(np.uint8).tobytes() for row in (*second, *third)]
        return b"".join(line + bytes(padding) for line in lines) + b"".join(
            line + bytes(padding // 2) for line in half
        )
    return b"".join(line + bytes(padding) for line in lines)


@pytest.mark.parametrize("padding", [0, 16])
@pytest.mark.parametrize("name", [name for name in LAYOUTS if not LAYOUTS[name].compressed])
def test_planes_hold_what_was_written(name, padding):
    layout = LAYOUTS[name]
    planes = planes_for(layout, ROWS, COLUMNS)
    data = np.frombuffer(written(name, planes, padding), np.uint8)
    stride = layout.least_stride(COLUMNS) + padding
    got = layout.view(data, ROWS, COLUMNS, stride)
    for ours, theirs in zip(got, planes, strict=True):
        np.testing.assert_array_equal(ours >> layout.shift, theirs)
        assert np.shares_memory(ours, data)


@pytest.mark.parametrize("name", [name for name in LAYOUTS if not LAYOUTS[name].compressed])
@given(
    rows=st.integers(2, 9).map(lambda half: 2 * half),
    pairs=st.integers(1, 9),
    padding=st.integers(0, 16).map(lambda half: 2 * half),
)
def test_least_bytes_is_just_enough(name, rows, pairs, padding):
    layout, columns = LAYOUTS[name], 2 * pairs
    stride = layout.least_stride(columns) + padding
    least = layout.least_bytes(columns, rows, stride)
    whole = written(name, planes_for(layout, rows, columns), padding)
    behind = padding // 2 if name == "YU12" else padding  # what pads the last row of all
    assert least == len(whole) - behind
    layout.view(np.zeros(least, np.uint8), rows, columns, stride)
    with pytest.raises(FrameLayoutError):
        layout.view(np.zeros(least - 1, np.uint8), rows, columns, stride)


def test_most_telling_format_comes_first():
    names = list(LAYOUTS)
    assert names.index("P010") < names.index("UYVY") < names.index("NV12") < names.index("MJPG")


@pytest.mark.parametrize(
    ("data", "whole"),
    [
        (b"\xff\xd8 picture \xff\xd9", True),
        (b"\xff\xd8 picture \xff\xd9\0\0\0\0", True),
        (b"\xff\xd8 picture cut sho", False),
        (b"no picture at all \xff\xd9", False),
        (b"\xff\xd8", False),
        (b"", False),
    ],
)
def test_jpeg_with_both_ends_is_whole(data, whole):
    assert is_whole_jpeg(np.frombuffer(data, np.uint8)) is whole
