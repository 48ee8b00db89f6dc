import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.v4l2.jpeg_head import JpegDamageError, JpegHead, read_until_scan
from tests.bench.jpeg_damage import encoded
from tests.firmware.v4l2.test_jpeg_walk import gradient


def segment(marker, body):
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


FRAME = segment(0xC0, bytes([8, 0, 32, 0, 48, 3, 1, 0x21, 0, 2, 0x11, 1, 3, 0x11, 1]))
SCAN = segment(0xDA, bytes([3, 1, 0x00, 2, 0x11, 3, 0x11, 0, 63, 0]))


def test_a_picture_tells_its_size_planes_and_tables():
    data, head = encoded(gradient(), "yuvj422p"), JpegHead()
    scan = read_until_scan(data, 0, head)
    assert (head.columns, head.rows, head.is_walkable) == (96, 64, True)
    # Of 4:2:2 in which every plane says that it is twice as high: FFmpeg's way.
    assert [(each.across, each.down) for each in head.components] == [(2, 2), (1, 2), (1, 2)]
    assert all(len(steps) == 64 for steps in head.quantisers.values())
    assert data[scan.start - 2] == 63  # the last but one byte of a scan header: all coefficients
    assert read_until_scan(data, len(data) - 2, head) is None


def test_a_restart_interval_is_read_and_progressive_pictures_are_not_walked():
    head = JpegHead()
    scan = read_until_scan(b"\xff\xd8" + segment(0xDD, b"\0\7") + FRAME + SCAN, 0, head)
    assert scan.restart == 7
    assert [part[0] for part in scan.parts] == [0, 1, 2]
    head = JpegHead()
    progressive = FRAME.replace(b"\xff\xc0", b"\xff\xc2", 1)
    assert read_until_scan(b"\xff\xd8" + progressive + SCAN, 0, head) is not None
    assert not head.is_walkable


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xd8\x12", "no marker at byte 2"),
        (b"\xff\xd8\xff\xe0\0", "cut short"),
        (b"\xff\xd8\xff\xe0\0\x09abc", "cut short"),
        (b"\xff\xd8" + FRAME + FRAME, "second frame header"),
        (b"\xff\xd8" + segment(0xC0, b"\x08\0\0\0\x30\1\1\x11\0"), "makes no picture"),
        (b"\xff\xd8" + segment(0xDB, b"\0" + bytes(64)), "holds a zero"),
        (b"\xff\xd8" + segment(0xDB, b"\0" + b"\1" * 60), "cut short"),
        (b"\xff\xd8" + segment(0xC4, b"\0" + b"\1" * 16), "Huffman table is cut short"),
        (b"\xff\xd8" + SCAN, "a plane that the picture has not"),
        (b"\xff\xd8" + FRAME + segment(0xDA, b"\3"), "scan header"),
        (b"\xff\xd8" + segment(0xDD, b"\0"), "restart interval"),
        (b"\xff\xd8" + segment(0xFE, b"") * 300, "more than 256 segments"),
        (b"\xff\xd8\xff\xd0", "no place"),
    ],
)
def test_segments_that_do_not_hold_together_are_damage(data, words):
    with pytest.raises(JpegDamageError, match=words):
        read_until_scan(data, 0, JpegHead())


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_damage(data):
    head = JpegHead()
    try:
        scan = read_until_scan(b"\xff\xd8" + FRAME + data, 0, head)
    except JpegDamageError:
        return
    assert scan is None or scan.start <= len(FRAME) + 2 + len(data)
