import random

import numpy as np
import pytest

from firmware.v4l2.jpeg_check import look_at
from firmware.v4l2.jpeg_head import JpegDamageError
from tests.bench.jpeg_damage import encoded, planes
from tests.firmware.v4l2.test_jpeg_walk import gradient


@pytest.mark.parametrize("pixel_format", ["yuvj420p", "yuvj422p", "yuvj444p"])
@pytest.mark.parametrize("huffman", ["default", "optimal"])
@pytest.mark.parametrize("size", [(64, 96), (61, 94), (8, 8)])
def test_levels_are_the_means_of_what_a_decoder_makes(pixel_format, huffman, size):
    data = encoded(gradient(*size), pixel_format, huffman=huffman)
    look, decoded = look_at(data), planes(data)
    for levels, plane, part in zip(look.levels, decoded, look.head.components, strict=True):
        rows, columns = levels.shape
        wide, high = 8 * part.across, 8 * part.down
        whole = plane[: plane.shape[0] // high * high, : plane.shape[1] // wide * wide]
        if not whole.size:
            continue
        means = whole.reshape(-1, high, whole.shape[1] // wide, wide).mean(axis=(1, 3)) - 128.0
        # Clipping at 0 and 255 and rounding to codes: neither happens in the level.
        assert np.abs(levels[: means.shape[0], : means.shape[1]] - means).max() < 3.0
        assert rows * high >= plane.shape[0]
        assert columns * wide >= plane.shape[1]


def test_tables_that_streams_leave_out_are_the_usual_ones():
    data = encoded(gradient(), huffman="default")
    at, bare = 2, bytearray(data[:2])
    while data[at + 1] != 0xDA:
        length = int.from_bytes(data[at + 2 : at + 4], "big") + 2
        if data[at + 1] != 0xC4:
            bare += data[at : at + length]
        at += length
    bare += data[at:]
    assert len(bare) < len(data) - 400
    for one, two in zip(look_at(bytes(bare)).levels, look_at(data).levels, strict=True):
        assert (one == two).all()


def test_whatever_is_cut_out_doubled_or_emptied_within_the_data_is_seen():
    data, draw = encoded(gradient()), random.Random(19)
    start = data.index(b"\xff\xda")
    missed = 0
    for _ in range(60):
        at, length = draw.randrange(start + 14, len(data) - 60), draw.randrange(4, 50)
        for spoilt in (
            data[:at] + data[at + length :],
            data[:at] + data[at : at + length] + data[at:],
            data[:at] + bytes(length) + data[at + length :],
        ):
            try:
                look_at(spoilt)
            except JpegDamageError:
                continue
            missed += planes(spoilt) is not None
    # By chance, data can end with as many units as there have to be: of these few, one in twenty.
    assert missed <= 9


def test_a_picture_too_large_for_any_device_is_not_walked():
    data = bytearray(encoded(gradient()))
    frame = data.index(b"\xff\xc0")
    data[frame + 5 : frame + 9] = b"\xff\xff\xff\xff"
    with pytest.raises(JpegDamageError, match="more than a capture device sends"):
        look_at(bytes(data))
