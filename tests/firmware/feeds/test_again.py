"""A capture device that fails or falls silent is started again, and ends nothing."""

import errno
import os
from dataclasses import dataclass, field

import pytest

from firmware.clock import HandClock
from firmware.feeds.again import PAUSES_S, STREAM_ONLY, Again, Depth
from firmware.feeds.base import FeedState
from firmware.feeds.v4l2 import AGAIN_S, AWAY_S, QUIET_S, V4l2Feed
from firmware.v4l2 import ioctls
from firmware.v4l2.capture_buffers import WISHED
from firmware.v4l2.device import Capture
from firmware.v4l2.fake import FakeBoard
from overlays.signal.frame import Frame

S = 1_000_000_000
ANSWERS = (errno.EPROTO, errno.ENOMEM, errno.EREMOTEIO, errno.ENOSPC, errno.EBUSY)
REQUESTS = ("DQBUF", "QBUF", "STREAMON", "G_FMT", "S_FMT", "REQBUFS", "S_DV_TIMINGS", "QUERYBUF")
SIZE = ("YUYV", 320, 180)


@dataclass
class RefusingBoard(FakeBoard):
    """A board that answers some requests with an error, for as long as it is told to."""

    refuse: dict[int, int] = field(default_factory=dict)
    close_errno: int = 0

    def ioctl(self, fd, request, argument):
        number = self.refuse.get(request, 0)
        if number:
            self.requests.append(request)
            raise OSError(number, os.strerror(number))
        super().ioctl(fd, request, argument)

    def close(self, fd):
        super().close(fd)
        if self.close_errno:
            raise OSError(self.close_errno, os.strerror(self.close_errno))


def made(**how):
    board = RefusingBoard(HandClock(start_ns=S), **how)
    feed = V4l2Feed(Capture(board.path), board.clock, None, board)
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    assert board.streaming
    return feed, board


@pytest.fixture
def bridge():
    return made()


@pytest.fixture
def stick():
    return made(driver="uvcvideo", formats=("YUYV",), link=errno.ENOTTY, rates={SIZE: 60.0})


def picture(board):
    return bytes([100]) * board.picture_size()


def seconds(board):
    return board.clock.now_ns() / 1e9


def test_pauses_grow_and_what_is_done_becomes_more_thorough():
    again, now_ns, rests, depths = Again(), 0, [], []
    for _ in range(len(PAUSES_S) + 2):
        depths.append(again.failed(FeedState.FAILED, "it fails", now_ns))
        rests.append(again.rest_s(now_ns))
        now_ns += round(rests[-1] * 1e9)
        assert again.rest_s(now_ns) == 0.0
    assert rests == [*PAUSES_S, PAUSES_S[-1], PAUSES_S[-1]]
    assert depths == [Depth.STREAM] * STREAM_ONLY + [Depth.DEVICE] * (len(depths) - STREAM_ONLY)
    assert again.words == f"it fails; started again {len(depths)} times"
    assert Again(FeedState.FAILED, "x", 1).words == "x; started again once"
    assert Again().rest_s(now_ns) == 0.0


@pytest.mark.parametrize("number", ANSWERS, ids=errno.errorcode.get)
@pytest.mark.parametrize("request_name", REQUESTS)
def test_no_error_of_a_driver_is_raised_and_it_goes_on_once_it_is_over(
    bridge, request_name, number
):
    feed, board = bridge
    board.refuse = {getattr(ioctls, request_name): number}
    board.show(picture(board))
    board.change(cable="720p60")
    if request_name == "QBUF":  # met by a frame that is given back
        board.show(picture(board), flags=ioctls.FLAG_ERROR)
    answers = []
    for _ in range(150):
        answers.append(feed.read(0.1))
        if request_name == "DQBUF":
            board.show(picture(board))
    assert FeedState.FAILED in answers
    assert not any(isinstance(answer, Frame) for answer in answers[2:])
    assert feed.counts.failures >= 2
    assert "started again" in feed.info.description
    # Not in a hurry: a quarter of a second at first, ten seconds in the end.
    assert feed.counts.failures <= 9
    board.refuse = {}
    for _ in range(150):
        board.show(picture(board))
        if isinstance(got := feed.read(0.1), Frame):
            break
    assert isinstance(got, Frame)
    assert "started again" not in feed.info.description
    assert (got.rows, got.columns) == (720, 1280)
    feed.close()
    assert board.open_count == 0


@pytest.mark.parametrize("number", [errno.EIO, errno.ENXIO, errno.EPROTO], ids=errno.errorcode.get)
def test_no_answer_to_being_stopped_escapes_from_closing_or_leaves_it_open(bridge, number):
    feed, board = bridge
    board.refuse = {ioctls.STREAMOFF: number, ioctls.REQBUFS: number}
    board.close_errno = errno.EIO
    feed.close()
    feed.close()
    assert board.open_count == 0
    assert feed.read(0.1) is FeedState.GONE


def test_a_silent_stick_is_started_again_then_opened_again_counted_and_shown(stick):
    feed, board = stick
    board.show(picture(board))
    feed.release(feed.read(0.1))
    start, opens = seconds(board), board.requests.count(ioctls.QUERYCAP)
    while feed.counts.silences == 0:
        feed.read(0.1)
        assert seconds(board) - start < QUIET_S + 1.5
    assert board.requests.count(ioctls.STREAMOFF) == 1
    while feed.read(0.1) is not FeedState.SILENT:
        assert seconds(board) - start < 12.0
    assert board.requests.count(ioctls.STREAMON) >= 3
    while seconds(board) - start < 120.0:
        assert feed.read(0.1) in {FeedState.SILENT, FeedState.NO_FRAME_YET}
    assert board.requests.count(ioctls.QUERYCAP) > opens
    assert 6 <= feed.counts.silences <= 16
    assert f"started again {feed.counts.silences} times" in feed.info.description
    board.show(picture(board))
    while not isinstance(got := feed.read(0.1), Frame):
        board.show(picture(board))
        assert seconds(board) - start < 140.0
    assert (got.planes[0] == 100).all()
    assert "320x180, 60 frames a second" in feed.info.description


def test_a_cable_that_was_pulled_ends_the_pauses(stick):
    feed, board = stick
    for _ in range(300):
        feed.read(0.1)
    assert feed._again.tries > STREAM_ONLY
    board.link = errno.ENOLINK
    feed._drop_device()
    feed._again.not_before_ns = 0
    while feed.read(0.1) not in {FeedState.NO_SIGNAL, FeedState.UNPLUGGED}:
        assert seconds(board) < 200.0
    assert feed._again.tries == 0


def test_a_device_that_comes_back_as_another_one_is_no_end(bridge):
    feed, board = bridge
    board.pull()
    assert feed.read(0.0) is FeedState.GONE
    board.formats = ("XYZ1",)
    board.bring_back()
    while feed.read(0.1) is not FeedState.FAILED:
        assert seconds(board) < 10.0
    assert "offers no pixel format that can be measured" in feed.info.description


def test_pictures_that_waited_while_nobody_asked_are_not_taken_for_new(bridge):
    feed, board = bridge
    for _ in range(WISHED):
        board.show(picture(board))
    board.clock.move(AWAY_S + 0.1)  # the thread hung; the buffers were full at once
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    assert feed.counts.passed_over == WISHED
    board.show(picture(board))
    assert isinstance(feed.read(0.0), Frame)
    assert AWAY_S > AGAIN_S


@pytest.mark.parametrize("late_s", [0.3, 1.2, 5.0, 60.0])
@pytest.mark.parametrize("kind", ["bridge", "stick"])
def test_a_reader_that_is_late_is_not_told_that_the_device_is_silent(request, kind, late_s):
    # As on an emulated board: the device filled every buffer, and nobody came for them.
    feed, board = request.getfixturevalue(kind)
    starts, came = board.requests.count(ioctls.STREAMON), 0
    for _ in range(20):
        for _ in range(WISHED):
            board.show(picture(board))
        board.clock.move(late_s)
        got = feed.read(0.05)
        assert isinstance(got, Frame) or got is FeedState.NO_FRAME_YET
        if isinstance(got, Frame):
            came += 1
            feed.release(got)
    assert feed.counts.silences == 0
    assert board.requests.count(ioctls.STREAMON) == starts
    assert came + feed.counts.passed_over >= 20


def test_whoever_is_late_each_time_stays_for_a_new_picture(bridge):
    feed, board = bridge
    board.show(picture(board))
    board.clock.move(AWAY_S + 0.1)
    start = seconds(board)
    feed.read(0.05)
    assert feed.counts.passed_over == 1
    assert seconds(board) - start == pytest.approx(AGAIN_S)
    board.clock.move(AWAY_S + 0.1)  # nothing had come: nothing is passed over, nothing to stay for
    start = seconds(board)
    feed.read(0.05)
    assert seconds(board) - start == pytest.approx(0.05)


def test_a_machine_that_stood_still_makes_no_device_silent(stick):
    feed, board = stick
    board.show(picture(board))
    feed.release(feed.read(0.1))
    board.clock.move(30.0)  # the whole machine, with whatever fills the buffers
    assert feed.read(0.05) is FeedState.NO_FRAME_YET
    assert feed.counts.silences == 0
    board.show(picture(board))
    assert isinstance(feed.read(0.05), Frame)
