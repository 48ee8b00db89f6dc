"""Pictures into a framebuffer, against PyAV, which reads the same files, and arithmetic."""

import struct
import zlib

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ScreenError
from firmware.first_boot import grey_picture
from firmware.first_boot.faces import PICTURES
from firmware.first_boot.grey_picture import Shades, fitted, packed, read_png, turned, with_bar
from firmware.journal.grey_png import grey_png
from firmware.screen.fbdev import PixelPlan

FULL = PixelPlan(4, 2, 32, (0xFF0000, 0xFF00, 0xFF, 0), 0, 16, 32)
SMALL = PixelPlan(4, 2, 16, (0xF800, 0x7E0, 0x1F, 0), 0, 8, 16)


@pytest.mark.parametrize("path", sorted(PICTURES.glob("*.png")), ids=lambda path: path.stem)
def test_it_reads_what_another_reader_reads(path):
    with av.open(str(path)) as file:
        expected = next(file.decode(video=0)).to_ndarray(format="gray")
    picture = read_png(path.read_bytes())
    assert (picture.rows, picture.columns) == expected.shape
    assert b"".join(picture.lines) == expected.tobytes()


@given(st.binary(max_size=200))
def test_noise_is_a_sentence(data):
    good = grey_png(np.zeros((2, 2), np.uint8))
    for each in (data, good[:8] + data, good[: len(good) // 2]):
        with pytest.raises(ScreenError, match="a picture of the first boot"):
            read_png(each)


def test_other_kinds_of_png_are_a_sentence():
    good = bytearray(grey_png(np.zeros((2, 2), np.uint8)))
    good[24] = 16
    with pytest.raises(ScreenError):
        read_png(bytes(good))


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_turning_is_clockwise(degrees):
    array = np.arange(6, dtype=np.uint8).reshape(2, 3)
    picture = Shades(3, 2, tuple(row.tobytes() for row in array))
    made = turned(picture, degrees)
    expected = np.rot90(array, -(degrees // 90))
    assert (made.rows, made.columns) == expected.shape
    assert b"".join(made.lines) == expected.tobytes()


@given(st.integers(1, 60), st.integers(1, 60))
def test_it_fits_with_its_shape_in_the_middle(columns, rows):
    picture = Shades(16, 9, (b"\x10" * 16, *[b"\x10" + b"\xff" * 14 + b"\x10"] * 7, b"\x10" * 16))
    made = fitted(picture, columns, rows)
    assert (made.columns, made.rows) == (columns, rows)
    assert len(made.lines) == rows
    assert all(len(line) == columns for line in made.lines)


def test_twice_as_large_is_each_pixel_twice():
    made = fitted(Shades(2, 1, (b"\x00\xff",)), 4, 4)
    assert made.lines == (b"\0\0\0\0", b"\x00\x00\xff\xff", b"\x00\x00\xff\xff", b"\0\0\0\0")


@given(st.floats(-1.0, 2.0))
def test_a_bar_says_how_much(done):
    ground = Shades(60, 60, (b"\x10" * 60,) * 60)
    made = with_bar(ground, done)
    line = made.lines[45]
    assert line.count(b"\xec") == round(40 * min(max(done, 0.0), 1.0))
    assert line.count(b"\xec") + line.count(b"\x40") == 40
    assert made.lines[0] == ground.lines[0]


@pytest.mark.parametrize(("plan", "form"), [(FULL, "<I"), (SMALL, "<H")])
def test_pixels_are_those_of_the_framebuffer(plan, form):
    picture = Shades(4, 2, (b"\x00\xff\x80\x01", b"\x00" * 4))
    rows = packed(plan, picture)
    values = [
        struct.unpack_from(form, rows[0], at)[0] for at in range(0, len(rows[0]), plan.bits // 8)
    ]
    black, white, middle, _ = values
    assert (black, white) == (0, sum(plan.masks))
    for mask in plan.masks[:3]:
        most = mask >> (mask & -mask).bit_length() - 1
        got = (middle & mask) >> (mask & -mask).bit_length() - 1
        assert abs(got / most - 128 / 255) <= 0.5 / most
    assert zlib.crc32(rows[1]) == zlib.crc32(bytes(4 * plan.bits // 8))
    assert grey_picture.MOST >= 960
