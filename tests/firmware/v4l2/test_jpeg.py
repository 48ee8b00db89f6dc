import io
import random
from fractions import Fraction

import av
import numpy as np
import pytest

from firmware.v4l2.jpeg import JpegDecoder
from firmware.v4l2.jpeg_check import look_at
from overlays.signal.signal import Subsampling
from tests.bench.jpeg_damage import encoded, planes, spoilt
from tests.firmware.v4l2.test_jpeg_walk import gradient


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


def test_damage_within_pictures_is_seen_and_good_ones_are_not_doubted():
    """Rates by kind: tests/bench/jpeg_damage.py. The decoder alone passed 86 of these 100."""
    draw, good = random.Random(19), encoded(gradient(128, 192))
    whole, tried, changes = planes(good), 0, []
    decoder = JpegDecoder()
    while tried < 100:
        assert decoder.decode(np.frombuffer(good, np.uint8)) is not None
        _, data = spoilt(good, draw)
        made = planes(data)
        alike = made is not None and [p.shape for p in made] == [p.shape for p in whole]
        if alike and all((a == b).all() for a, b in zip(made, whole, strict=True)):
            continue  # of what is no part of the picture
        tried += 1
        got = decoder.decode(np.frombuffer(data, np.uint8))
        if got is not None:
            changes.append(abs(float(got[0][0].mean()) - float(whole[0].mean())))
    # What is left: coefficients that decode as others, of one block, whose mean they leave alone;
    # and, once here, the level of the very first unit, from which all others are counted: the
    # picture is then another one as a whole, as with another aperture.
    assert len(changes) <= 10
    assert sum(change > 0.01 for change in changes) <= 1


def test_a_decoder_that_made_something_up_is_not_believed(monkeypatch):
    data = encoded(gradient())
    monkeypatch.setattr("firmware.v4l2.jpeg.look_at", lambda _: look_at(encoded(gradient(32, 48))))
    assert JpegDecoder().decode(np.frombuffer(data, np.uint8)) is None
