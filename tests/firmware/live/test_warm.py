import numpy as np

from firmware.live import warm
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.jpeg_check import look_at
from overlays.signal.signal import Components, Subsampling


def test_every_layout_of_a_capture_device_is_among_them():
    seen = {
        (frame.signal.components, frame.signal.subsampling, frame.signal.bits, frame.shift)
        for frame in warm.every_frame()
    }
    for layout in LAYOUTS.values():
        if not layout.compressed:
            assert (layout.components, layout.subsampling, layout.bits, layout.shift) in seen


def test_frames_of_files_are_among_them_too():
    seen = {
        (frame.signal.bits, frame.signal.subsampling, frame.planes[0].dtype)
        for frame in warm.every_frame()
        if frame.signal.components is Components.YCBCR
    }
    for subsampling in (Subsampling.S420, Subsampling.S422):
        assert (10, subsampling, np.dtype("<u2")) in seen


def test_all_of_them_can_be_measured_and_drawn(capsys):
    assert warm.main() == 0
    assert "ready for" in capsys.readouterr().out


def test_the_walk_through_jpeg_is_compiled_as_well(monkeypatch):
    walked = []

    def seen(data):
        walked.append(data)
        return look_at(data)

    monkeypatch.setattr("firmware.v4l2.jpeg.look_at", seen)
    warm.use_jpeg()
    assert [data[:2] for data in walked] == [b"\xff\xd8"]
