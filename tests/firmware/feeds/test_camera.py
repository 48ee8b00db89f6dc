"""The camera feed over a small fake of the calls made, and over a real board if there is one."""

from importlib.util import find_spec
from types import SimpleNamespace

import numpy as np
import pytest

from firmware.clock import HandClock, SystemClock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import Feed, FeedState
from firmware.feeds.camera import BUFFERS, CameraFeed, open_camera
from firmware.feeds.camera_options import CameraOptions, CameraStream
from overlays.signal.frame import Frame
from overlays.signal.signal import Matrix, Range, SignalOverride, Subsampling

ROWS, COLUMNS, STRIDE = 8, 12, 32


class FakeRequest:
    def __init__(self, camera, number):
        self.camera, self.number, self.released = camera, number, 0
        camera.out += 1
        rows = ROWS * 3 // 2 if camera.stream == "main" else ROWS
        self.array = np.zeros((rows, camera.stride), np.uint8)
        self.array[:ROWS, : 2 * COLUMNS] = 50 + number

    def get_metadata(self):
        return {
            "SensorTimestamp": 1_000_000 * self.number,
            "FrameDuration": 40_000,
            "SensorBlackLevels": (4096, 4096, 4096, 4096),
        }

    def release(self):
        self.released += 1
        self.camera.out -= 1


class FakeCamera:
    """Picamera2 as far as it is used: requests come as jobs, and starve if none is given back."""

    def __init__(self, stream="main", raw_format="SRGGB16", silent=False):
        self.stream, self.raw_format, self.silent = stream, raw_format, silent
        self.stride = STRIDE
        self.calls, self.out, self.number, self.asked = [], 0, 0, 0

    def create_video_configuration(self, **settings):
        self.calls.append(("create", settings))
        return dict(settings)

    def configure(self, config):
        self.calls.append(("configure", config))

    def camera_configuration(self):
        size = (COLUMNS, ROWS)
        return {
            "main": {"size": size, "stride": STRIDE, "format": "YUV420"},
            "raw": {"size": size, "stride": STRIDE, "format": self.raw_format},
        }

    def start(self):
        self.calls.append(("start",))

    def stop(self):
        self.calls.append(("stop",))

    def close(self):
        self.calls.append(("close",))

    def capture_request(self, wait):
        assert wait is False
        self.asked += 1
        return self

    def get_result(self, timeout=None):
        assert timeout is not None
        if self.silent or self.out >= BUFFERS:
            raise TimeoutError
        self.number += 1
        return FakeRequest(self, self.number)


class FakeMapped:
    open_count = 0

    def __init__(self, request, stream, write):
        assert write is False
        assert stream == request.camera.stream
        self.array = request.array

    def __enter__(self):
        FakeMapped.open_count += 1
        return self

    def __exit__(self, *_):
        FakeMapped.open_count -= 1


@pytest.fixture(autouse=True)
def _nothing_stays_mapped():
    FakeMapped.open_count = 0


def opened(camera, stream=CameraStream.PICTURE, override=None):
    return CameraFeed(camera, FakeMapped, CameraOptions(stream), HandClock(), override)


def test_picture_is_limited_bt709_and_says_that_its_stops_are_no_light():
    camera = FakeCamera()
    feed = opened(camera)
    assert isinstance(feed, Feed)
    info = feed.info
    assert (info.columns, info.rows, info.rate) == (COLUMNS, ROWS, 25.0)
    assert (info.signal.range, info.signal.matrix) == (Range.LIMITED, Matrix.BT709)
    assert info.signal.subsampling is Subsampling.S420
    assert info.signal.bits == 8
    assert "stops are not light" in info.warnings[0]
    assert info.curve is None
    assert ("start",) in camera.calls


def test_configured_once_with_few_buffers():
    camera = FakeCamera()
    opened(camera)
    kinds = [call[0] for call in camera.calls]
    assert kinds.count("configure") == 1
    assert camera.calls[0][1]["buffer_count"] == BUFFERS


def test_frame_is_a_view_with_the_sensors_time_and_padding_left_out():
    feed = opened(FakeCamera())
    frame = feed.read(1.0)
    assert frame.planes[0].shape == (ROWS, COLUMNS)
    assert frame.planes[1].shape == (ROWS // 2, COLUMNS // 2)
    assert (frame.planes[0] == 52).all()  # the first request told the levels
    assert frame.time_ns == 2_000_000
    assert FakeMapped.open_count == 1
    feed.release(frame)
    feed.release(frame)
    assert FakeMapped.open_count == 0


def test_frames_not_released_starve_it_in_bounded_time():
    camera = FakeCamera()
    feed = opened(camera)
    frames = [feed.read(1.0) for _ in range(BUFFERS)]
    assert all(isinstance(frame, Frame) for frame in frames)
    asked = camera.asked
    assert feed.read(0.1) is FeedState.NO_FRAME_YET
    assert feed.read(0.1) is FeedState.NO_FRAME_YET
    assert camera.asked == asked + 1  # one request is waited for, not one more at each call
    feed.release(frames[0])
    assert feed.read(0.1).number == BUFFERS


def test_raw_is_linear_light_above_black():
    camera = FakeCamera("raw")
    feed = opened(camera, CameraStream.RAW)
    info = feed.info
    assert (info.columns, info.rows, info.signal.bits) == (COLUMNS // 2, ROWS // 2, 16)
    assert info.signal.range is Range.FULL
    assert info.curve.decode(4096 / 65535) == pytest.approx(0.0, abs=1e-12)
    assert info.carriage is info.curve.carriage
    assert any("sensor clips" in warning for warning in info.warnings)
    frame = feed.read(1.0)
    assert frame.planes[0].shape == (ROWS // 2, COLUMNS // 2)
    assert camera.calls[0][1]["raw"] == {"format": "SRGGB16"}


def test_compressed_raw_is_refused():
    with pytest.raises(FeedFormatError, match="PISP_COMP1"):
        opened(FakeCamera("raw", "RGGB_PISP_COMP1"), CameraStream.RAW)


def test_user_overrules_range_and_matrix_of_the_picture():
    info = opened(FakeCamera(), override=SignalOverride(Range.FULL, Matrix.BT601)).info
    own = info.signal_with(SignalOverride())
    assert (own.range, own.matrix) == (Range.LIMITED, Matrix.BT709)
    signal = info.signal
    assert (signal.range, signal.matrix) == (Range.FULL, Matrix.BT601)


def test_camera_without_pictures_is_closed_and_refused():
    camera = FakeCamera(silent=True)
    with pytest.raises(FeedNotFoundError, match="ribbon cable"):
        opened(camera)
    assert camera.calls[-2:] == [("stop",), ("close",)]


def test_closing_gives_everything_back():
    camera = FakeCamera()
    feed = opened(camera)
    feed.read(1.0)
    feed.close()
    feed.close()
    assert (camera.out, FakeMapped.open_count) == (0, 0)
    assert camera.calls.count(("close",)) == 1
    assert feed.read(1.0) is FeedState.GONE


@pytest.mark.skipif(find_spec("picamera2") is not None, reason="picamera2 is installed here")
def test_without_picamera2_the_remedy_is_named():
    with pytest.raises(FeedNotFoundError, match="apt install python3-picamera2"):
        open_camera("", HandClock())


def test_no_camera_and_no_picture_are_told_apart(monkeypatch):
    def none_there(_number):
        raise IndexError("list index out of range")

    module = SimpleNamespace(Picamera2=none_there, MappedArray=FakeMapped)
    monkeypatch.setitem(__import__("sys").modules, "picamera2", module)
    with pytest.raises(FeedNotFoundError, match="number 0 cannot be opened"):
        open_camera("raw", HandClock())


@pytest.mark.skipif(find_spec("picamera2") is None, reason="needs a Raspberry Pi with a camera")
@pytest.mark.parametrize("text", ["size=1280x720", "raw"])
def test_on_a_board(text):
    feed = open_camera(text, SystemClock())
    try:
        for _ in range(10):
            frame = feed.read(2.0)
            assert isinstance(frame, Frame)
            feed.release(frame)
    finally:
        feed.close()
