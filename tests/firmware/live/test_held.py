import numpy as np

from firmware.live.held import kept
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, Subsampling


def test_a_kept_frame_does_not_change_with_its_buffer():
    plane = np.zeros((4, 4), np.uint8)
    frame = Frame((plane, plane, plane), Signal(subsampling=Subsampling.S444), number=3)
    copy = kept(frame)
    plane[:] = 9
    assert copy.planes[0].max() == 0
    assert copy.number == 3
