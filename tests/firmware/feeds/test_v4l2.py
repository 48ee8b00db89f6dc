"""The live feed over a board made of nothing; `tests/appliance` runs it over the kernel's own."""

import errno
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from firmware.clock import HandClock, SystemClock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import Feed, FeedState
from firmware.feeds.checked import Checked, keep_checked
from firmware.feeds.v4l2 import AGAIN_S, SURE_S, V4l2Feed
from firmware.opening.read_with import read_with
from firmware.profiles.shelf import load_profile
from firmware.v4l2 import ioctls
from firmware.v4l2.capture_buffers import WISHED
from firmware.v4l2.device import Capture
from firmware.v4l2.fake import FakeBoard
from overlays.signal.frame import Frame
from overlays.signal.signal import Matrix, Range, SignalOverride, Subsampling
from tests.bench.jpeg_damage import encoded
from tests.firmware.v4l2.test_jpeg_walk import gradient


@pytest.fixture
def board():
    return FakeBoard(HandClock(start_ns=1_000_000_000))


def opened(board, override=None, **wish):
    return V4l2Feed(Capture(board.path, **wish), board.clock, override, board)


def ready(board, **wish):
    """A feed whose stream runs."""
    feed = opened(board, **wish)
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    assert board.streaming
    return feed


def jpeg():
    """A grey picture of 48x32 pixels."""
    context = av.CodecContext.create("mjpeg", "w")
    context.width, context.height, context.pix_fmt = 48, 32, "yuvj422p"
    context.time_base = Fraction(1, 25)
    frame = av.VideoFrame(48, 32, "yuvj422p")
    for plane in frame.planes:
        plane.update(bytes([128]) * plane.buffer_size)
    frame.pts = 0
    return b"".join(bytes(packet) for packet in [*context.encode(frame), *context.encode(None)])


def picture(board, value=100):
    return bytes([value]) * board.picture_size()


def test_it_is_a_feed_and_tells_what_it_takes_before_the_first_frame(board):
    feed = opened(board)
    assert isinstance(feed, Feed)
    info = feed.info
    assert (info.columns, info.rows, info.rate) == (1920, 1080, 25.0)
    assert "1920x1080p, 25 frames a second" in info.description
    assert (info.signal.matrix, info.signal.range) == (Matrix.BT601, Range.LIMITED)


def test_a_stream_that_was_refused_once_keeps_no_buffers_from_the_next_try(board):
    board.refused.append(errno.ENOSPC)  # too little room on the bus at that moment
    feed = opened(board)
    said = []
    for _ in range(10):
        feed.read(0.0)
        said.append(feed.info.description)
        board.clock.move(0.1)
    assert board.streaming
    assert not any("in use by another program" in each for each in said)
    board.show(picture(board, 7))
    assert isinstance(feed.read(1.0), Frame)


def test_frame_carries_number_kernel_time_and_the_buffers_own_bytes(board):
    feed = ready(board)
    board.show(picture(board, 7))
    stamp_ns = board.clock.now_ns()
    board.clock.move(0.01)
    frame = feed.read(1.0)
    assert (frame.number, frame.time_ns, frame.rows, frame.columns) == (0, stamp_ns, 1080, 1920)
    assert (frame.planes[0] == 7).all()
    assert any(np.shares_memory(frame.planes[0], np.frombuffer(m, np.uint8)) for m in board.maps)


def test_lent_frames_stay_and_come_back_once(board):
    feed = ready(board)
    board.show(picture(board, 1))
    first = feed.read(1.0)
    for value in range(2 * WISHED):
        board.show(picture(board, 50 + value))
        feed.release(feed.read(1.0))
    assert (first.planes[0] == 1).all()
    assert board.queued_count == WISHED - 1
    feed.release(first)
    feed.release(first)
    assert board.queued_count == WISHED


def test_frames_that_are_never_released_starve_the_feed_but_do_not_hang_it(board):
    feed = ready(board)
    for _ in range(WISHED):
        board.show(picture(board))
        assert isinstance(feed.read(1.0), Frame)
    board.show(picture(board))
    before = board.clock.now_ns()
    assert feed.read(0.5) is FeedState.NO_FRAME_YET
    assert board.clock.now_ns() - before == pytest.approx(0.5e9, abs=1e6)


@pytest.mark.parametrize("timeout_s", [0.0, 0.1, 0.6, 3.0])
@pytest.mark.parametrize(
    ("link", "power", "state"),
    [
        (0, 1, FeedState.NO_FRAME_YET),
        (errno.ENOLINK, 0, FeedState.UNPLUGGED),
        (errno.ENOLINK, 1, FeedState.NO_SIGNAL),
        (errno.ENOLCK, 1, FeedState.NO_SYNC),
        (errno.ERANGE, 1, FeedState.UNSUPPORTED),
    ],
)
def test_each_state_of_the_cable_has_its_own_answer_in_bounded_time(
    board, link, power, state, timeout_s
):
    board.link, board.power = link, power
    feed = opened(board)
    before = board.clock.now_ns()
    assert feed.read(timeout_s) is state
    took_s = (board.clock.now_ns() - before) / 1e9
    assert took_s == pytest.approx(timeout_s, abs=1e-6)


def test_unsupported_timings_are_named(board):
    board.link, board.cable = errno.ERANGE, "1080i50"
    feed = opened(board)
    assert feed.read(0.1) is FeedState.UNSUPPORTED
    assert "1920x1080i" in feed.info.description


def test_a_driver_that_gives_fields_one_by_one_is_unsupported(board):
    board.whole_fields = 7  # V4L2_FIELD_ALTERNATE
    feed = opened(board)
    assert feed.read(0.1) is FeedState.UNSUPPORTED
    assert not board.streaming


def test_no_picture_of_a_lost_signal_is_handed_out_even_if_the_driver_goes_on(board):
    feed = ready(board)
    board.show(picture(board))
    feed.release(feed.read(1.0))
    board.change(link=errno.ENOLINK)
    board.show(picture(board, 200))  # noise, as some drivers give
    assert feed.read(0.3) is FeedState.NO_SIGNAL
    assert not board.streaming


def test_signal_comes_back_by_itself(board):
    feed = ready(board)
    board.change(link=errno.ENOLINK)
    assert feed.read(0.3) is FeedState.NO_SIGNAL
    board.change(link=0)
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    board.show(picture(board))
    assert isinstance(feed.read(0.1), Frame)


def test_new_timings_are_followed_with_new_buffers(board):
    feed = ready(board)
    board.show(picture(board, 3))
    old = feed.read(1.0)
    for cable, size in (
        ("1080p50", (1920, 1080)),
        ("720p60", (1280, 720)),
        ("1080p25", (1920, 1080)),
    ):
        board.change(cable=cable)
        assert feed.read(0.0) is FeedState.NO_FRAME_YET
        assert feed.read(0.0) is FeedState.NO_FRAME_YET
        board.show(picture(board))
        frame = feed.read(0.1)
        assert (frame.columns, frame.rows) == size
        assert (feed.info.columns, feed.info.rows) == size
        feed.release(frame)
    assert feed.counts.restarts == 3
    assert (old.planes[0] == 3).all()
    feed.release(old)


def test_a_change_nobody_told_of_is_noticed_within_a_second(board):
    feed = ready(board)
    board.cable = "720p60"  # and no event
    elapsed = 0.0
    while feed.info.columns == 1920 and elapsed < 3 * SURE_S:
        board.show(picture(board))
        got = feed.read(0.04)
        if isinstance(got, Frame):
            feed.release(got)
        board.clock.move(0.04)
        elapsed += 0.04
    assert feed.info.columns == 1280
    assert elapsed <= SURE_S + 0.2


def test_a_driver_that_stopped_without_a_word_is_started_again(board):
    feed = ready(board)
    starts = board.requests.count(ioctls.STREAMON)
    feed.read(3 * SURE_S)
    assert board.requests.count(ioctls.STREAMON) > starts
    assert feed.counts.restarts >= 1


def test_device_pulled_out_and_brought_back(board):
    feed = ready(board)
    board.show(picture(board, 5))
    held = feed.read(1.0)
    board.pull()
    assert feed.read(1.0) is FeedState.GONE
    assert "device gone" in feed.info.description
    before = board.clock.now_ns()
    assert feed.read(0.4) is FeedState.GONE
    assert board.clock.now_ns() - before == pytest.approx(0.4e9)
    feed.release(held)
    assert (held.planes[0] == 5).all()
    board.bring_back()
    assert feed.read(AGAIN_S) is FeedState.NO_FRAME_YET
    board.show(picture(board))
    assert feed.read(0.1).number == 1


def test_release_after_the_device_went_is_harmless(board):
    feed = ready(board)
    board.show(picture(board))
    frame = feed.read(1.0)
    board.pull()
    feed.release(frame)
    assert feed.read(0.1) is FeedState.GONE


def test_damaged_and_short_pictures_are_counted_never_measured(board):
    feed = ready(board)
    board.show(picture(board), flags=ioctls.FLAG_ERROR)
    board.show(picture(board), used=board.picture_size() // 2)
    assert feed.read(0.2) is FeedState.DAMAGED
    assert feed.read(0.2) is FeedState.NO_FRAME_YET
    assert (feed.counts.broken, feed.counts.short, feed.counts.delivered) == (1, 1, 0)


def test_closed_feed_is_gone_and_leaves_nothing_open(board):
    feed = ready(board)
    feed.close()
    feed.close()
    assert feed.read(5.0) is FeedState.GONE
    assert board.open_count == 0
    assert not board.streaming


def test_device_that_fails_while_it_is_opened_is_not_left_open(board):
    def busy(_fd, _answer):
        raise OSError(errno.EBUSY, "Device or resource busy")

    feed = ready(board, edid=bytes(256))
    board.pull()
    assert feed.read(0.1) is FeedState.GONE
    board.bring_back()
    board.edid, board._answers[ioctls.S_EDID] = b"", busy
    for _ in range(5):
        assert feed.read(AGAIN_S) is FeedState.GONE
    assert board.open_count == 0


def test_edid_is_loaded_where_there_is_none(board):
    opened(board, edid=bytes(256))
    assert len(board.edid) == 256


def test_padded_rows_are_left_out(board):
    board.padding = 64
    feed = ready(board, pixel_format="UYVY")
    board.show(picture(board))
    assert feed.read(0.1).planes[0].shape == (1080, 1920)


def test_user_overrules_the_table(board):
    feed = opened(board, SignalOverride(range=Range.FULL, matrix=Matrix.BT709))
    assert (feed.info.signal.range, feed.info.signal.matrix) == (Range.FULL, Matrix.BT709)
    own = feed.info.signal_with(SignalOverride())
    assert (own.range, own.matrix) == (Range.LIMITED, Matrix.BT601)


def test_stick_without_timings(board):
    rates = {("YUYV", 1280, 720): 60.0, ("MJPG", 1920, 1080): 30.0}
    board.link, board.driver, board.formats, board.rates = (
        errno.ENOTTY,
        "uvcvideo",
        ("YUYV",),
        rates,
    )
    feed = ready(board)
    assert (feed.info.columns, feed.info.rate) == (1280, 60.0)
    nothing, both = SignalOverride(), SignalOverride(Range.LIMITED, Matrix.BT709)
    assert any("feed check" in warning for warning in feed.info.warnings_with(nothing))
    assert not any("feed check" in warning for warning in feed.info.warnings_with(both))
    board.show(picture(board))
    assert feed.read(0.1).signal.matrix is Matrix.BT709


def test_a_stick_that_was_checked_is_read_so_from_then_on(board, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    board.driver = "uvcvideo"
    feed = ready(board)
    nothing = SignalOverride()
    assert feed.info.checked is None
    found = Checked(SignalOverride(Range.FULL), "2026-11-27")
    keep_checked(feed.info.device, found)
    feed.close()
    again = ready(board)
    assert again.info.signal.range is Range.FULL
    assert again.info.words.endswith("feed check of 2026-11-27")
    read = read_with(load_profile("standard"), again.info)
    assert read.info.signal.range is Range.FULL
    assert not any("range" in warning for warning in read.warnings)
    assert any("matrix" in warning for warning in read.warnings)  # greys did not say
    assert feed.info.rechecked().checked == found  # one that runs hears of it too
    assert again.info.rechecked() is again.info
    assert any("range" in warning for warning in feed.info.warnings_with(nothing))


def test_compressed_stick_is_lossy_and_its_buffers_come_back_at_once(board):
    rates = {("MJPG", 48, 32): 30.0}
    board.link, board.driver, board.formats, board.rates = (
        errno.ENOTTY,
        "uvcvideo",
        ("MJPG",),
        rates,
    )
    feed = ready(board)
    data = jpeg()
    board.show(data)
    frame = feed.read(0.1)
    assert frame.signal.lossy
    assert frame.signal.subsampling is Subsampling.S422
    assert board.queued_count == WISHED
    feed.release(frame)
    board.show(data[: len(data) // 2])
    assert feed.read(0.1) is FeedState.DAMAGED
    assert feed.counts.broken == 1


def test_damage_within_compressed_frames_is_counted_and_said_and_never_read(board):
    """The old decoder handed out 395 of 400 such frames as good (issue 19, item 4)."""
    board.link, board.driver, board.formats = errno.ENOTTY, "uvcvideo", ("MJPG",)
    board.rates = {("MJPG", 192, 128): 30.0}
    feed = ready(board)
    good = encoded(gradient(128, 192))
    middle = len(good) // 2
    bad = good[:middle] + bytes(40) + good[middle + 40 :]
    board.show(good)
    feed.release(feed.read(0.1))
    for n in range(20):
        board.show(bad)
        assert feed.read(0.1) is FeedState.DAMAGED
        assert feed.counts.broken == n + 1
    board.show(good)
    assert isinstance(feed.read(0.1), Frame)
    assert board.queued_count == WISHED


@pytest.mark.parametrize(
    ("change", "fault", "words"),
    [
        ({"path": "/dev/video9"}, FeedNotFoundError, "no capture device at /dev/video0"),
        ({"formats": ("GREY",)}, FeedFormatError, "no pixel format that can be measured"),
    ],
)
def test_a_device_that_cannot_be_used_is_refused_with_a_remedy(board, change, fault, words):
    for name, value in change.items():
        setattr(board, name, value)
    with pytest.raises(fault, match=words):
        V4l2Feed(Capture("/dev/video0"), board.clock, None, board)
    assert board.open_count == 0


def test_format_the_device_lacks_is_refused_with_those_it_has(board):
    with pytest.raises(FeedFormatError, match="does not offer P010; it offers UYVY, RGB3"):
        opened(board, pixel_format="P010")
    assert board.open_count == 0


def test_ten_thousand_frames_leave_nothing_behind(board):
    board.link, board.driver = errno.ENOTTY, "uvcvideo"
    board.formats, board.rates = ("YUYV",), {("YUYV", 8, 4): 60.0}
    feed = ready(board)
    data = picture(board)
    for _ in range(10_000):
        board.show(data)
        feed.release(feed.read(1.0))
    assert feed.counts.delivered == 10_000
    assert feed.counts.lost == 0
    assert board.queued_count == WISHED
    assert feed._lent == {}


def virtual_board():
    """Node of the kernel's own virtual HDMI board (vivid), where it is loaded."""
    for name in sorted(Path("/sys/class/video4linux").glob("video*/name")):
        if name.read_text().startswith("vivid") and "vid-cap" in name.read_text():
            return f"/dev/{name.parent.name}"
    return None


@pytest.mark.skipif(
    virtual_board() is None, reason="needs the kernel's vivid (see tests/appliance)"
)
def test_over_the_kernels_own_virtual_board():
    feed = V4l2Feed(Capture(virtual_board()), SystemClock())
    try:
        numbers = []
        for _ in range(20):
            got = feed.read(2.0)
            if isinstance(got, Frame):
                assert (got.columns, got.rows) == (feed.info.columns, feed.info.rows)
                numbers.append(got.number)
                feed.release(got)
        assert len(numbers) >= 5
        assert numbers == sorted(set(numbers))
        assert feed.counts.short == 0
    finally:
        feed.close()
