import errno

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.v4l2 import bounds, ioctls, structs
from firmware.v4l2.capture_buffers import Counts, Stream
from firmware.v4l2.device import Capture, open_device
from firmware.v4l2.fake import FakeBoard
from firmware.v4l2.formats import LAYOUTS

S = 1_000_000_000


def pix(columns, rows, stride=0):
    return structs.PixFormat(width=columns, height=rows, bytesperline=stride)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize(("columns", "rows"), [(16, 16), (1920, 1080), (4096, 2304)])
def test_every_picture_that_can_be_is_taken_with_its_buffer(name, columns, rows):
    layout = LAYOUTS[name]
    for stride in (0, layout.least_stride(columns), layout.least_stride(columns) + 64):
        bounds.check_picture(pix(columns, rows, stride), layout)
        least = layout.least_bytes(columns, rows, stride)
        most = bounds.most_bytes(layout, columns, rows, stride)
        bounds.check_buffer(least, least, most)
        bounds.check_buffer(least + 4096, least, most)


@pytest.mark.parametrize(
    ("columns", "rows", "stride"),
    [
        *((0, 0, 0), (1, 720, 0), (4097, 16, 0), (2**31, 2**31, 0), (1280, 2305, 0)),
        *((1280, 720, 2559), (1280, 720, 2**32 - 1), (1280, 720, 1)),
    ],
)
def test_a_picture_that_cannot_be_is_refused_before_anything_is_made_of_it(columns, rows, stride):
    with pytest.raises(OSError, match="the driver answers nonsense") as refused:
        bounds.check_picture(pix(columns, rows, stride), LAYOUTS["UYVY"])
    assert refused.value.errno == errno.EPROTO


@pytest.mark.parametrize("length", [0, 100, 10**6 - 1, 2**32 - 1])
def test_a_buffer_that_cannot_hold_a_picture_or_is_none_is_refused(length):
    with pytest.raises(OSError, match="nonsense"):
        bounds.check_buffer(length, 10**6, 2 * 10**6)


def test_rates_and_stamps_that_cannot_be_are_not_known():
    assert bounds.rate_of(60, 1) == 60.0
    assert [bounds.rate_of(*each) for each in ((1, 0), (2**32 - 1, 1), (0, 5))] == [0.0] * 3
    now = 100 * S
    assert bounds.believed_ns(now - S, now) == now - S
    assert bounds.believed_ns(None, now) == now
    for stamp in (-(2**62), 0, now + S, 2**63):
        assert bounds.believed_ns(stamp, now) == now


@pytest.fixture
def stream():
    board = FakeBoard(HandClock(start_ns=S))
    device = open_device(board, Capture(board.path))
    device.set_format("UYVY", 0, 0)
    made = Stream(board, device.fd, board.picture_size(), Counts())
    made.start()
    return made, board


@pytest.mark.parametrize("index", [-1, 5, 4096])
def test_a_buffer_that_the_driver_does_not_have_is_never_looked_at(stream, index):
    made, board = stream
    board.show(bytes(board.picture_size()))
    board._buffers._filled[0].index = index & 0xFFFFFFFF
    with pytest.raises(OSError, match="which it does not have"):
        made.newest()


def test_a_buffer_that_is_lent_is_not_lent_again(stream):
    made, board = stream
    board.show(bytes([7]) * board.picture_size())
    lent = made.newest()
    board.show(bytes([9]) * board.picture_size())
    board._buffers._filled[0].index = lent.index
    with pytest.raises(OSError, match="which it does not have"):
        made.newest()
    assert (np.asarray(lent.data) == 7).all()


def test_a_number_far_off_is_no_million_of_lost_frames(stream):
    made, board = stream
    for sequence in (1, 2**31, 2**31 + 3):
        board.show(bytes(board.picture_size()), sequence=sequence)
        made.give_back(made.newest().index)
    assert made.counts.lost == 2


@pytest.mark.parametrize("count", [bounds.MOST_BUFFERS + 1, 2**32 - 1])
def test_more_buffers_than_there_are_is_refused(count):
    board = FakeBoard(HandClock(start_ns=S))
    device = open_device(board, Capture(board.path))
    pixels = device.set_format("UYVY", 0, 0)
    board._answers[ioctls.REQBUFS] = lambda _fd, asked: setattr(asked, "count", count)
    with pytest.raises(OSError, match="nonsense"):
        Stream(board, device.fd, int(pixels.sizeimage), Counts()).start()
