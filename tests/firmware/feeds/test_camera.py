"""The camera feed over a fake held to the library, and over a real camera if there is one."""

from importlib.util import find_spec
from types import SimpleNamespace

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import Feed, FeedState
from firmware.feeds.camera import QUIET_S, CameraFeed, open_camera
from firmware.feeds.camera_options import CameraOptions, CameraStream
from firmware.feeds.camera_settled import BUFFERS
from overlays.signal.frame import Frame
from overlays.signal.signal import Matrix, Range, SignalOverride, Subsampling
from tests.fake_camera import COLUMNS, ROWS, FakeCamera, FakeMapped


@pytest.fixture(autouse=True)
def _nothing_stays_mapped():
    FakeMapped.open_count = 0


def opened(camera, stream=CameraStream.PICTURE, override=None, clock=None):
    options = CameraOptions(stream, size=(COLUMNS, ROWS))
    return CameraFeed(camera, FakeMapped, options, clock or HandClock(), override)


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
    assert (frame.planes[1] == 100).all()
    assert (frame.planes[2] == 200).all()
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


def test_what_it_settles_on_is_read_as_what_it_is_or_refused():
    # A USB camera, and libcamera's virtual one, settle on NV12: greys alone would not show it.
    frame = opened(FakeCamera(format="NV12")).read(1.0)
    assert (frame.planes[1] == 100).all()
    assert (frame.planes[2] == 200).all()
    with pytest.raises(FeedFormatError, match=r"BGR888.*YUV420 or NV12 is needed"):
        opened(FakeCamera(format="BGR888"))
    with pytest.raises(FeedFormatError, match=r"no counts of its sensor.*use camera"):
        opened(FakeCamera(has_raw=False), CameraStream.RAW)


def test_another_size_than_was_asked_for_and_a_rate_not_told_are_said():
    assert "asked for" not in opened(FakeCamera()).info.description
    options = CameraOptions(size=(1000, 700))
    info = CameraFeed(FakeCamera(tells=False), FakeMapped, options, HandClock()).info
    assert f"{COLUMNS}x{ROWS}" in info.description
    assert "1000x700 was asked for" in info.description
    assert "frames a second not told" in info.description
    assert info.rate == 0.0


def test_a_silent_camera_is_said_and_started_again_with_growing_pauses():
    camera, clock = FakeCamera(), HandClock()
    feed = opened(camera, clock=clock)
    feed.release(feed.read(0.1))
    camera.silent = True
    assert feed.read(0.1) is FeedState.NO_FRAME_YET
    seen = []
    for _ in range(100):
        clock.move(0.2)
        seen.append(feed.read(0.1))
    quiet = seen.index(FeedState.SILENT)
    assert quiet * 0.2 == pytest.approx(QUIET_S, abs=0.3)
    assert set(seen[quiet:]) == {FeedState.SILENT}
    starts = camera.calls.count(("start",)) - 1
    assert starts == camera.calls.count(("stop",)) == 6
    assert f"started again {starts} times" in feed.info.description
    camera.silent = False
    assert isinstance(feed.read(0.1), Frame)
    assert "started again" not in feed.info.description


def test_one_that_cannot_be_started_again_is_said_and_closed_without_a_wait():
    camera, clock = FakeCamera(), HandClock()
    feed = opened(camera, clock=clock)
    camera.silent, camera.refuses = True, RuntimeError("device gone")
    feed.read(0.1)
    clock.move(QUIET_S + 0.1)
    assert feed.read(0.1) is FeedState.SILENT
    assert "device gone" in feed.info.description
    feed.close()
    assert camera.calls[-1] == ("close",)


def test_closing_a_camera_that_has_fallen_silent_does_not_wait_for_its_next_picture():
    camera = FakeCamera()
    feed = opened(camera)
    camera.silent = True
    feed.read(0.1)
    assert len(camera.jobs) == 1
    feed.close()
    assert camera.calls[-2:] == [("stop",), ("close",)]


def test_a_picture_that_comes_while_it_is_closed_is_given_back():
    camera = FakeCamera()
    feed = opened(camera)
    camera.silent = True
    feed.read(0.1)
    camera.silent = False
    job = camera.jobs[0]
    job.get_result(0.0)  # as the library's own thread would
    assert camera.out == 1
    feed.close()
    assert camera.out == 0


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


def test_a_camera_that_another_program_holds_is_said_and_let_go(monkeypatch):
    camera = FakeCamera(refuses=RuntimeError("Device or resource busy"))
    module = SimpleNamespace(Picamera2=lambda _number: camera, MappedArray=FakeMapped)
    monkeypatch.setitem(__import__("sys").modules, "picamera2", module)
    with pytest.raises(FeedNotFoundError, match=r"busy.*no other program") as fault:
        open_camera("", HandClock())
    assert "\n" not in str(fault.value)
    assert camera.calls[-1] == ("close",)


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
