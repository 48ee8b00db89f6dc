import io
from fractions import Fraction

import av
import numpy as np
import pytest

from firmware.v4l2.jpeg import JpegDecoder
from overlays.signal.signal import Subsampling


def jpeg(pixel_format, rows=32, columns=48, level=100):
    """A picture of one grey as FFmpeg's encoder makes it, whose codes are then known."""
    context = av.CodecContext.create("mjpeg", "w")
    context.width, context.height, context.pix_fmt = columns, rows, pixel_format
    context.time_base = Fraction(1, 25)
    context.options = {"qmin": "1", "qmax": "1"}
    frame = av.VideoFrame(columns, rows, pixel_format)
    for plane, value in zip(frame.planes, (level, 90, 160), strict=True):
        plane.update(bytes([value]) * plane.buffer_size)
    frame.pts = 0
    out = io.BytesIO()
    for packet in [*context.encode(frame), *context.encode(None)]:
        out.write(bytes(packet))
    return np.frombuffer(out.getvalue(), np.uint8)


@pytest.mark.parametrize(
    ("pixel_format", "subsampling", "c_shape"),
    [("yuvj422p", Subsampling.S422, (32, 24)), ("yuvj420p", Subsampling.S420, (16, 24))],
)
def test_codes_come_out_as_they_went_in(pixel_format, subsampling, c_shape):
    planes, got = JpegDecoder().decode(jpeg(pixel_format))
    assert got is subsampling
    assert [plane.shape for plane in planes] == [(32, 48), c_shape, c_shape]
    for plane, value in zip(planes, (100, 90, 160), strict=True):
        # One grey: only the quantisation of the DC coefficient remains.
        assert np.abs(plane.astype(int) - value).max() <= 1


def test_pictures_do_not_wait_for_the_next_one():
    decoder = JpegDecoder()
    levels = [40, 120, 200]
    seen = [decoder.decode(jpeg("yuvj422p", level=level))[0][0].mean() for level in levels]
    assert seen == pytest.approx(levels, abs=1.0)


def test_earlier_planes_are_not_written_over():
    decoder = JpegDecoder()
    first = decoder.decode(jpeg("yuvj422p", level=40))[0][0]
    decoder.decode(jpeg("yuvj422p", level=200))
    assert first.mean() == pytest.approx(40, abs=1.0)


def test_cut_or_spoilt_pictures_are_none():
    whole = jpeg("yuvj422p")
    decoder = JpegDecoder()
    assert decoder.decode(whole[: len(whole) // 2]) is None
    assert decoder.decode(np.frombuffer(b"\xff\xd8" + bytes(300) + b"\xff\xd9", np.uint8)) is None
    assert decoder.decode(whole) is not None
