import numpy as np
import pytest

from overlays.draw.layout.seen import Part
from overlays.draw.picture.part import magnified
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal, Subsampling


@pytest.mark.parametrize("sub", list(Subsampling))
def test_a_part_of_a_frame_is_a_view_of_the_same_samples(sub):
    rows, columns = 18, 30
    luma = np.arange(rows * columns, dtype=np.uint16).reshape(rows, columns) % 1000
    size = (rows // sub.rows, columns // sub.columns)
    cb = np.arange(size[0] * size[1], dtype=np.uint16).reshape(size) % 1000
    frame = Frame((luma, cb, cb + 1), Signal(bits=10, subsampling=sub))
    part = magnified(frame, Part(8, 4, 12, 8))
    assert (part.rows, part.columns) == (8, 12)
    assert np.shares_memory(part.planes[0], luma)
    assert (part.planes[0] == luma[4:12, 8:20]).all()
    first = cb[4 // sub.rows, 8 // sub.columns]
    assert part.planes[1][0, 0] == first
    assert part.planes[2][0, 0] == first + 1


def test_the_whole_is_the_frame_itself():
    plane = np.zeros((4, 6), np.uint8)
    frame = Frame((plane,) * 3, Signal(subsampling=Subsampling.S444))
    assert magnified(frame, Part(0, 0, 6, 4)) is frame
