"""The board made of nothing refuses what the kernel refuses (media uAPI, each request's page)."""

import ctypes
import errno

import pytest

from firmware.clock import HandClock
from firmware.v4l2 import ioctls, structs
from firmware.v4l2.device import Capture, open_device
from firmware.v4l2.fake import FakeBoard
from firmware.v4l2.fake_timings import timing


def running():
    board = FakeBoard(HandClock())
    device = open_device(board, Capture(board.path))
    device.set_format("UYVY", 0, 0)
    asked = structs.RequestBuffers(count=2, type=1, memory=1)
    board.ioctl(device.fd, ioctls.REQBUFS, asked)
    return board, device


def test_format_and_timings_cannot_change_while_streaming():
    board, device = running()
    board.ioctl(device.fd, ioctls.STREAMON, ctypes.c_int(1))
    for act in (
        lambda: device.set_format("UYVY", 0, 0),
        lambda: device.follow(timing("720p60")),
    ):
        with pytest.raises(OSError, match="busy") as caught:
            act()
        assert caught.value.errno == errno.EBUSY


def test_a_buffer_is_queued_once_only():
    board, device = running()
    board.ioctl(device.fd, ioctls.QBUF, structs.Buffer(index=0))
    with pytest.raises(OSError, match="Invalid"):
        board.ioctl(device.fd, ioctls.QBUF, structs.Buffer(index=0))


def test_empty_queue_answers_again_later_and_unknown_requests_are_refused():
    board, device = running()
    with pytest.raises(OSError, match="unavailable"):
        board.ioctl(device.fd, ioctls.DQBUF, structs.Buffer())
    with pytest.raises(OSError, match="Inappropriate"):
        board.ioctl(device.fd, 0x12345678, structs.Buffer())


def test_picture_without_a_free_buffer_is_lost_but_numbered():
    board, device = running()
    board.show(b"x")
    board.ioctl(device.fd, ioctls.QBUF, structs.Buffer(index=1))
    board.show(b"y")
    got = structs.Buffer()
    board.ioctl(device.fd, ioctls.DQBUF, got)
    assert (got.index, got.sequence) == (1, 1)


def test_closed_and_pulled_nodes_fail_differently():
    board, device = running()
    board.pull()
    with pytest.raises(OSError, match="No such device"):
        device.link()
    board.bring_back()
    with pytest.raises(OSError, match="Bad file"):
        device.link()
