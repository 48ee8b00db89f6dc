import pytest

from firmware.clock import HandClock
from firmware.feeds.v4l2_run import prepare
from firmware.v4l2 import timings
from firmware.v4l2.capture_buffers import Counts
from firmware.v4l2.device import Capture, open_device
from firmware.v4l2.fake import FakeBoard
from overlays.signal.signal import SignalOverride


def prepared(board, **wish):
    capture = Capture(board.path, **wish)
    device = open_device(board, capture)
    link, raw = device.link()
    assert link is timings.Cabling.LOCKED
    device.follow(raw)
    return prepare(device, capture, SignalOverride(), timings.from_struct(raw), Counts())


@pytest.mark.parametrize("cable", ["1080p25", "720p60"])
def test_size_and_rate_come_from_the_cable_whatever_is_wished(cable):
    board = FakeBoard(HandClock(), cable=cable)
    run, info = prepared(board, columns=320, rows=200)
    rows, rate = cable.split("p")
    assert (run.rows, info.rows, info.rate) == (int(rows), int(rows), float(rate))
    assert run.found.rate == float(rate)


def test_most_telling_format_is_set_and_the_wish_wins():
    board = FakeBoard(HandClock())
    assert prepared(board)[0].layout.name == "UYVY"
    assert prepared(board, pixel_format="RGB3")[0].layout.name == "RGB3"


def test_least_bytes_leave_room_for_padding_behind_the_last_row():
    board = FakeBoard(HandClock(), padding=32)
    run, _ = prepared(board, pixel_format="UYVY")
    assert run.stride == 1920 * 2 + 32
    assert run.stream.least_bytes == board.picture_size() - 32


def test_driver_that_gives_another_format_than_asked_is_no_run():
    board = FakeBoard(HandClock(), whole_fields=7)
    run, info = prepared(board)
    assert run is None
    assert info.columns == 1920
