"""A held frame is its own."""

from unittest.mock import Mock

import numba
import numpy as np
import pytest

from overlays.signal.frame import Frame
from overlays.signal.kept_frame import Copier, kept
from overlays.signal.signal import Signal
from tests.colour_frames import card, frame_of


def test_what_is_kept_stays_when_the_buffer_is_used_again():
    frame = frame_of(card((0.18, 0.18, 0.18)))
    before = [plane.copy() for plane in frame.planes]
    made = kept(frame)
    for plane in frame.planes:
        plane.setflags(write=True)
        plane[:] = 0
    for plane, then in zip(made.planes, before, strict=True):
        np.testing.assert_array_equal(plane, then)
    assert (made.number, made.signal) == (frame.number, frame.signal)


def interleaved(seed):
    words = np.random.default_rng(seed).integers(0, 256, (32, 64 + 6), np.uint8)[:, :64]
    return Frame((words[:, 1::2], words[:, ::4], words[:, 2::4]), Signal(), number=seed)


def apart(seed):
    planes = np.random.default_rng(seed).integers(0, 256, (3, 400, 32), np.uint8)
    return Frame((planes[0, :32], planes[1, 100:132, ::2], planes[2, 300:332, ::2]), Signal())


def of_three(seed):
    """Planes of buffers of their own, of which nothing may be read that lies between them."""
    one, two, three = (plane.copy() for plane in interleaved(seed).planes)
    return Frame((one, two, three), Signal())


def turned(seed):
    frame = interleaved(seed)
    one, two, three = (plane[::-1] for plane in frame.planes)
    return Frame((one, two, three), frame.signal)


@pytest.mark.parametrize("made", [interleaved, apart, turned, of_three])
def test_a_copy_lies_as_the_frame_does(made):
    frame = made(1)
    copy = kept(frame)
    for plane, its in zip(frame.planes, copy.planes, strict=True):
        np.testing.assert_array_equal(its, plane)
        assert not np.shares_memory(plane, its)
    if made in {interleaved, turned}:  # others are copied one by one
        assert [each.strides for each in copy.planes] == [each.strides for each in frame.planes]


def test_the_next_copy_takes_the_place_of_the_one_before():
    copier = Copier()
    first = copier.copy(interleaved(1))
    second = copier.copy(interleaved(2))
    assert np.shares_memory(first.planes[0], second.planes[0])
    np.testing.assert_array_equal(second.planes[1], interleaved(2).planes[1])


def test_memory_of_several_buffers_is_never_read_across(monkeypatch):
    """Between two mappings there may be none: to read there ends the process."""
    read = Mock(wraps=np.ctypeslib.as_array)
    monkeypatch.setattr(np.ctypeslib, "as_array", read)
    kept(of_three(1))
    read.assert_not_called()
    kept(interleaved(1))
    read.assert_called_once()


@pytest.mark.parametrize("made", [interleaved, turned])
@pytest.mark.parametrize("may_be_written", [False, True])
def test_to_a_loop_a_copy_is_of_the_same_kind(made, may_be_written):
    """Another kind is compiled at run time: a minute on a small board, at every start."""
    frame = made(1)
    for plane in frame.planes:
        plane.flags.writeable = may_be_written
    for plane, its in zip(frame.planes, kept(frame).planes, strict=True):
        assert numba.typeof(its) == numba.typeof(plane)
