import errno

import pytest

from firmware.clock import HandClock
from firmware.v4l2 import timings
from firmware.v4l2.fake import FakeBoard
from firmware.v4l2.fake_timings import timing
from firmware.v4l2.timings import Cabling


@pytest.mark.parametrize(
    ("name", "rate"),
    [("1080p60", 60.0), ("1080p50", 50.0), ("1080p25", 25.0), ("720p60", 60.0)],
)
def test_rate_from_clock_and_total_size(name, rate):
    # The names are those of CTA-861, whose figures the fake's table holds.
    assert timings.from_struct(timing(name)).rate == pytest.approx(rate, abs=1e-9)


def test_words_for_timings():
    assert str(timings.from_struct(timing("1080p25"))) == "1920x1080p, 25 frames a second"
    assert str(timings.from_struct(timing("1080i50"))).startswith("1920x1080i")


def test_no_clock_is_no_rate():
    raw = timing("720p60")
    raw.u.bt.pixelclock = 0
    assert timings.from_struct(raw).rate == 0.0
    assert str(timings.from_struct(raw)) == "1280x720p"


@pytest.mark.parametrize(
    ("link", "power", "state"),
    [
        (0, 1, Cabling.LOCKED),
        (errno.ENOLINK, 0, Cabling.NO_POWER),
        (errno.ENOLINK, 1, Cabling.NO_SIGNAL),
        (errno.ENOLINK, None, Cabling.NO_SIGNAL),
        (errno.ENOLCK, 1, Cabling.NO_SYNC),
        (errno.ERANGE, 1, Cabling.UNSUPPORTED),
        (errno.ENOTTY, None, Cabling.ANALOGUE),
    ],
)
def test_five_states_of_a_cable_are_told_apart(link, power, state):
    board = FakeBoard(HandClock(), link=link, power=power)
    assert timings.query(board, board.open(board.path))[0] is state


def test_timings_that_are_not_supported_are_told_all_the_same():
    board = FakeBoard(HandClock(), link=errno.ERANGE, cable="1080i50")
    _, raw = timings.query(board, board.open(board.path))
    assert timings.from_struct(raw).interlaced


def test_a_device_that_is_gone_is_no_state_of_the_cable():
    board = FakeBoard(HandClock())
    fd = board.open(board.path)
    board.pull()
    with pytest.raises(OSError, match="No such device"):
        timings.query(board, fd)
