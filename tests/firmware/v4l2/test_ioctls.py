"""Request numbers against the C compiler's, and what the answers are turned into."""

import errno

import pytest

from firmware.clock import HandClock
from firmware.v4l2 import ioctls, structs
from firmware.v4l2.fake import FakeBoard

# Printed by gcc for x86-64 from linux/videodev2.h (linux-libc-dev 6.1).
NUMBERS = {
    "QUERYCAP": 0x80685600,
    "ENUM_FMT": 0xC0405602,
    "G_FMT": 0xC0D05604,
    "S_FMT": 0xC0D05605,
    "REQBUFS": 0xC0145608,
    "QUERYBUF": 0xC0585609,
    "QBUF": 0xC058560F,
    "DQBUF": 0xC0585611,
    "STREAMON": 0x40045612,
    "STREAMOFF": 0x40045613,
    "G_CTRL": 0xC008561B,
    "S_CTRL": 0xC008561C,
    "G_EDID": 0xC0285628,
    "S_EDID": 0xC0285629,
    "ENUM_FRAMESIZES": 0xC02C564A,
    "ENUM_FRAMEINTERVALS": 0xC034564B,
    "S_DV_TIMINGS": 0xC0845657,
    "G_DV_TIMINGS": 0xC0845658,
    "QUERY_DV_TIMINGS": 0x80845663,
    "DQEVENT": 0x80885659,
    "SUBSCRIBE_EVENT": 0x4020565A,
}


def test_no_request_is_left_out():
    made = {name for name, value in vars(ioctls).items() if type(value) is int and value >= 1 << 30}
    flags = {"HAS_DEVICE_CAPS"}
    assert made - flags == set(NUMBERS)


@pytest.mark.parametrize("name", NUMBERS)
def test_request_number_is_the_kernels(name):
    assert getattr(ioctls, name) == NUMBERS[name]


def test_fourcc_there_and_back():
    assert ioctls.fourcc("UYVY") == 0x59565955  # V4L2_PIX_FMT_UYVY, printed by gcc
    for name in ("UYVY", "MJPG", "RGB3", "Y16"):
        assert ioctls.fourcc_name(ioctls.fourcc(name)) == name


def test_big_endian_mark_is_left_out_of_the_name():
    assert ioctls.fourcc_name(ioctls.fourcc("Y16") | 1 << 31) == "Y16"


def test_a_node_of_a_capture_device_that_carries_metadata_is_no_capture_node():
    whole = ioctls.CAN_CAPTURE | ioctls.CAN_STREAM | ioctls.HAS_DEVICE_CAPS
    metadata = 0x00800000 | ioctls.CAN_STREAM  # V4L2_CAP_META_CAPTURE
    assert not ioctls.can_capture(structs.Capability(capabilities=whole, device_caps=metadata))
    own = ioctls.CAN_CAPTURE | ioctls.CAN_STREAM
    assert ioctls.can_capture(structs.Capability(capabilities=whole, device_caps=own))
    assert ioctls.can_capture(structs.Capability(capabilities=own))


def test_edid_is_handed_over_whole():
    board = FakeBoard(HandClock())
    fd = board.open(board.path)
    assert ioctls.edid_blocks(board, fd) == 0
    edid = bytes(range(256))
    ioctls.set_edid(board, fd, edid)
    assert board.edid == edid
    assert ioctls.edid_blocks(board, fd) == 2


def test_node_without_edid_control_or_events_is_told_apart_from_a_failure():
    board = FakeBoard(HandClock(), edid=None, power=None, link=errno.ENOTTY)
    fd = board.open(board.path)
    assert ioctls.edid_blocks(board, fd) is None
    assert ioctls.control(board, fd, ioctls.POWER_PRESENT) is None
    assert not ioctls.subscribe_source_change(board, fd)
    board.pull()
    with pytest.raises(OSError, match="No such device"):
        ioctls.control(board, fd, ioctls.POWER_PRESENT)


def test_events_are_all_taken():
    board = FakeBoard(HandClock())
    fd = board.open(board.path)
    board.change()
    board.change()
    assert ioctls.drain_events(board, fd) == 2
    assert ioctls.drain_events(board, fd) == 0


def test_sizes_and_rates_listed_by_the_driver():
    rates = {("YUYV", 1920, 1080): 5.0, ("YUYV", 1280, 720): 10.0, ("MJPG", 1920, 1080): 30.0}
    board = FakeBoard(HandClock(), formats=("YUYV", "MJPG"), rates=rates)
    fd = board.open(board.path)
    assert ioctls.sizes(board, fd, "YUYV") == ((1920, 1080), (1280, 720))
    assert ioctls.best_rate(board, fd, "MJPG", 1920, 1080) == 30.0
    assert ioctls.best_rate(board, fd, "MJPG", 640, 480) == 0.0
