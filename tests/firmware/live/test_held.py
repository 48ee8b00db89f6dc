"""A held frame is its own."""

import numpy as np

from firmware.live.held import kept
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
