import errno

import pytest

from firmware.v4l2.fake_buffers import FakeBuffers
from firmware.v4l2.structs import Buffer


@pytest.fixture
def buffers():
    made = FakeBuffers()
    made.request(2, 8)
    made.queue(0, Buffer(index=1))
    made.queue(0, Buffer(index=0))
    return made


def test_buffers_are_filled_in_the_order_they_were_queued(buffers):
    buffers.fill(b"first", Buffer(), None)
    buffers.fill(b"second", Buffer(), None)
    assert bytes(buffers.maps[1]).startswith(b"first")
    got = Buffer()
    buffers.dequeue(0, got)
    assert (got.index, got.sequence) == (1, 0)
    assert buffers.count == 1


def test_without_a_buffer_a_picture_is_numbered_and_lost(buffers):
    for _ in range(3):
        buffers.fill(b"x", Buffer(), None)
    buffers.dequeue(0, Buffer())
    buffers.queue(0, Buffer(index=1))
    buffers.fill(b"y", Buffer(), None)
    buffers.dequeue(0, Buffer())
    got = Buffer()
    buffers.dequeue(0, got)
    assert got.sequence == 3
    with pytest.raises(OSError, match="unavailable") as caught:
        buffers.dequeue(0, got)
    assert caught.value.errno == errno.EAGAIN


@pytest.mark.parametrize("index", [0, 1, 2])
def test_a_buffer_that_is_queued_or_unknown_is_refused(buffers, index):
    with pytest.raises(OSError, match="Invalid"):
        buffers.queue(0, Buffer(index=index))


def test_old_memory_outlives_a_new_request(buffers):
    old = buffers.maps[0]
    old[:3] = b"old"
    buffers.request(2, 16)
    assert bytes(old[:3]) == b"old"
    assert len(buffers.maps[0]) == 16
    assert buffers.count == 0
