import errno

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.v4l2 import ioctls
from firmware.v4l2.capture_buffers import WISHED, Counts, Stream
from firmware.v4l2.device import Capture, open_device
from firmware.v4l2.fake import FakeBoard


@pytest.fixture
def board():
    return FakeBoard(HandClock(start_ns=5_000_000_000))


@pytest.fixture
def stream(board):
    device = open_device(board, Capture(board.path))
    device.set_format("UYVY", 0, 0)
    made = Stream(board, device.fd, board.picture_size(), Counts())
    made.start()
    return made


def picture(board, value):
    return bytes([value]) * board.picture_size()


def test_a_picture_is_lent_without_a_copy_and_stays_until_given_back(board, stream):
    board.show(picture(board, 7))
    taken = stream.newest()
    assert taken.data[0] == 7
    assert np.shares_memory(taken.data, np.frombuffer(board.maps[taken.index], np.uint8))
    for value in range(WISHED + 2):
        board.show(picture(board, 100 + value))
        later = stream.newest()
        if later is not None:
            stream.give_back(later.index)
    assert (taken.data == 7).all()


def test_newest_wins_and_the_others_are_counted(board, stream):
    for value in (1, 2, 3):
        board.show(picture(board, value))
    taken = stream.newest()
    assert taken.data[0] == 3
    assert stream.counts.passed_over == 2
    assert board.queued_count == WISHED - 1


def test_gap_in_the_drivers_numbers_is_lost_frames(board, stream):
    board.show(picture(board, 1), sequence=10)
    stream.give_back(stream.newest().index)
    board.show(picture(board, 2), sequence=14)
    stream.newest()
    assert stream.counts.lost == 3


def test_broken_and_short_pictures_never_come_out(board, stream):
    board.show(picture(board, 1), flags=ioctls.FLAG_ERROR)
    board.show(picture(board, 2), used=board.picture_size() - 1)
    assert stream.newest() is None
    assert (stream.counts.broken, stream.counts.short) == (1, 1)
    assert board.queued_count == WISHED


def test_a_broken_picture_does_not_hide_the_good_one_before_it(board, stream):
    board.show(picture(board, 1))
    board.show(picture(board, 2), flags=ioctls.FLAG_ERROR)
    assert stream.newest().data[0] == 1


def test_the_kernels_stamp_is_kept(board, stream):
    board.show(picture(board, 1))
    assert stream.newest().time_ns == 5_000_000_000


def test_a_stamp_of_another_clock_is_none(board, stream):
    board.show(picture(board, 1), flags=0)
    assert stream.newest().time_ns is None


def test_lent_memory_outlives_the_stream(board, stream):
    board.show(picture(board, 9))
    taken = stream.newest()
    stream.stop()
    stream.give_back(taken.index)
    assert (taken.data == 9).all()
    assert not board.streaming


def test_stop_on_a_device_that_is_gone_is_quiet_but_reading_it_is_not(board, stream):
    board.pull()
    with pytest.raises(OSError, match="No such device"):
        stream.newest()
    stream.stop()


def test_too_few_buffers_are_refused(board):
    device = open_device(board, Capture(board.path))
    device.set_format("UYVY", 0, 0)

    def one_only(_fd, answer):
        answer.count = 1

    board._answers[ioctls.REQBUFS] = one_only
    with pytest.raises(OSError, match="too little memory") as caught:
        Stream(board, device.fd, 1, Counts()).start()
    assert caught.value.errno == errno.ENOMEM


def test_two_buffers_in_one_place_are_refused():
    """A driver's nonsense that fuzzing found: what is lent would be written over by the next."""

    class Doubled(FakeBoard):
        def ioctl(self, fd, request, argument):
            super().ioctl(fd, request, argument)
            if request == ioctls.QUERYBUF and argument.index == 2:
                argument.m.offset = 1

    doubled = Doubled(HandClock(start_ns=5_000_000_000))
    device = open_device(doubled, Capture(doubled.path))
    device.set_format("UYVY", 0, 0)
    made = Stream(doubled, device.fd, doubled.picture_size(), Counts())
    with pytest.raises(OSError, match="buffer 2 in the place of another") as told:
        made.start()
    assert told.value.errno == errno.EPROTO
