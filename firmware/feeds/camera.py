"""The Raspberry Pi's own camera as a feed, through picamera2.

picamera2 is imported only when this feed is opened: it brings half a second of imports and must be
the one of the board's own system. One request of the camera is one frame, lent until released.
"""

from typing import Any, Protocol

import numpy as np

from firmware.clock import Clock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.camera_options import CameraOptions, CameraStream, camera_options
from firmware.feeds.camera_raw import Bayer, bayer_of, sensor_curve
from overlays.signal.curves import Curve
from overlays.signal.frame import Frame, Planes, planar
from overlays.signal.signal import Signal, SignalOverride, Subsampling

BUFFERS = 4
"""Few: memory for the camera is short on small boards, and fails when asked for again."""
FIRST_S = 5.0
"""How long the first request may take; exposure settles in it."""

PICTURE_WARNING = (
    "the camera's own picture has a tone curve of its own: its percent is what it sends, but its "
    "stops are not light; use camera:raw for stops"
)
RAW_WARNINGS = (
    (
        "colours are the sensor's own: stops of grey things can be compared, those of coloured "
        "things only roughly"
    ),
    "0 st is 18 % of the light at which the sensor clips, whatever the exposure",
)


class Job(Protocol):
    """A request that is on its way."""

    def get_result(self, timeout: float | None = None) -> Any:  # noqa: ANN401 (picamera2 has no types)
        """The completed request; TimeoutError where it takes longer."""
        ...


class PiCamera(Protocol):
    """The few calls of Picamera2 that are made."""

    def create_video_configuration(self, **settings: object) -> dict[str, Any]:
        """A configuration."""
        ...

    def configure(self, camera_config: dict[str, Any]) -> None:
        """Set it."""
        ...

    def camera_configuration(self) -> dict[str, Any]:
        """What became of it."""
        ...

    def start(self) -> None:
        """Start taking pictures."""
        ...

    def capture_request(self, wait: bool) -> Job:
        """Ask for the next picture, without waiting."""
        ...

    def stop(self) -> None:
        """Stop taking pictures."""
        ...

    def close(self) -> None:
        """Let go of the camera."""
        ...


class Mapping(Protocol):
    """picamera2's MappedArray: a stream of a request, mapped while it is entered."""

    def __call__(self, request: Any, stream: str, write: bool) -> Any:  # noqa: ANN401
        """Map `stream` of `request`."""
        ...


class CameraFeed:
    """Frames of a camera.

    Parameters
    ----------
    camera:
        An opened Picamera2, or a fake.
    mapped:
        Its MappedArray.
    options:
        CameraStream and size.
    clock:
        Time.
    override:
        What the user says of range and matrix; of no use on raw counts.

    Raises
    ------
    FeedFormatError
        The camera gives no format that can be measured.
    FeedNotFoundError
        It gives no picture at all.
    """

    def __init__(
        self,
        camera: PiCamera,
        mapped: Mapping,
        options: CameraOptions,
        clock: Clock,
        override: SignalOverride | None = None,
    ) -> None:
        self._camera, self._mapped, self._clock = camera, mapped, clock
        self._name = "main" if options.stream is CameraStream.PICTURE else "raw"
        self._lent: dict[int, tuple[Any, Any]] = {}
        self._job: Job | None = None
        self._number = 0
        self._closed = False
        camera.configure(_configuration(camera, options))
        settled = camera.camera_configuration()[self._name]
        self._columns, self._rows = settled["size"]
        self._stride = int(settled["stride"])
        self._bayer: Bayer | None = None
        if options.stream is CameraStream.RAW:
            self._bayer = bayer_of(str(settled["format"]))
        camera.start()
        self._info = self._described(override or SignalOverride())

    @property
    def info(self) -> FeedInfo:
        """What is known of the feed."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The newest frame within `timeout_s` seconds."""
        if self._closed:
            return FeedState.GONE
        request = self._request(timeout_s)
        if request is None:
            return FeedState.NO_FRAME_YET
        mapping = self._mapped(request, self._name, False)
        array = mapping.__enter__().array
        metadata = request.get_metadata()
        frame = Frame(
            planes=self._planes(np.asarray(array)),
            signal=self._info.signal,
            number=self._number,
            time_ns=int(metadata.get("SensorTimestamp", self._clock.now_ns())),
        )
        self._lent[frame.number] = (request, mapping)
        self._number += 1
        return frame

    def release(self, frame: Frame) -> None:
        """Give the request back to the camera."""
        lent = self._lent.pop(frame.number, None)
        if lent is not None:
            request, mapping = lent
            mapping.__exit__(None, None, None)
            request.release()

    def close(self) -> None:
        """Let go of the camera; closing twice is allowed."""
        if self._closed:
            return
        self._closed = True
        for number in list(self._lent):
            request, mapping = self._lent.pop(number)
            mapping.__exit__(None, None, None)
            request.release()
        self._camera.stop()
        self._camera.close()

    def _request(self, timeout_s: float) -> Any | None:  # noqa: ANN401
        """The next request; one that is late is waited for again by the next call."""
        if self._job is None:
            self._job = self._camera.capture_request(wait=False)
        try:
            request = self._job.get_result(timeout=timeout_s)
        except TimeoutError:
            return None
        self._job = None
        return request

    def _planes(self, array: np.ndarray[Any, Any]) -> Planes:
        data = array.reshape(-1).view(np.uint8)
        if self._bayer is not None:
            return self._bayer.planes(data, self._rows, self._columns, self._stride)
        return planar(data, self._rows, self._columns, Subsampling.S420, 1, self._stride)

    def _described(self, override: SignalOverride) -> FeedInfo:
        """Also takes the first request: only pictures tell the black level."""
        request = self._request(FIRST_S)
        if request is None:
            self.close()
            raise FeedNotFoundError(
                f"camera: no picture within {FIRST_S:g} s; check the ribbon cable at both ends"
            )
        metadata = request.get_metadata()
        request.release()
        duration_us = float(metadata.get("FrameDuration", 0))
        rate = 1e6 / duration_us if duration_us else 0.0
        curve: Curve | None = None
        warnings: tuple[str, ...]
        if self._bayer is None:
            own = Signal(subsampling=Subsampling.S420)
            signal = override.over(own)
            columns, rows, warnings = self._columns, self._rows, (PICTURE_WARNING,)
        else:
            signal, warnings = self._bayer.signal, RAW_WARNINGS
            own = signal
            columns, rows = self._columns // 2, self._rows // 2
            blacks = tuple(int(level) for level in metadata.get("SensorBlackLevels", ()))
            curve = sensor_curve(blacks, signal.bits)
        what = "raw" if self._bayer is not None else "picture"
        return FeedInfo(
            name="camera",
            description=f"{what} {columns}x{rows}, {signal.bits} bit, {rate:.4g} frames a second",
            columns=columns,
            rows=rows,
            signal=signal,
            rate=rate,
            warnings=warnings,
            own=own,
            curve=curve,
            carriage=None if curve is None else curve.carriage,
        )


def _configuration(camera: PiCamera, options: CameraOptions) -> dict[str, Any]:
    """A video configuration: limited range BT.709 is what picamera2 gives video of HD size."""
    settings: dict[str, object] = {
        "main": {"size": options.size, "format": "YUV420"},
        "buffer_count": BUFFERS,
    }
    if options.stream is CameraStream.RAW:
        # Without an unpacked format a Pi 5 would hand over a compressed one.
        settings["raw"] = {"format": "SRGGB16"}
    return camera.create_video_configuration(**settings)


def open_camera(text: str, clock: Clock, override: SignalOverride | None = None) -> CameraFeed:
    """Open the board's camera.

    Raises
    ------
    FeedNotFoundError
        There is no picamera2, or no camera.
    FeedOptionError
        An option is unknown.
    """
    options = camera_options(text)
    try:
        from picamera2 import MappedArray, Picamera2  # noqa: PLC0415 (slow, and only on a board)
    except ImportError as fault:
        raise FeedNotFoundError(
            "camera: picamera2 is not installed; on a Raspberry Pi: "
            "sudo apt install python3-picamera2 --no-install-recommends"
        ) from fault
    try:
        camera = Picamera2(options.number)
    except (IndexError, RuntimeError) as fault:
        raise FeedNotFoundError(
            f"camera: number {options.number} cannot be opened ({fault}); check its ribbon cable, "
            "and that no other program uses it"
        ) from fault
    try:
        return CameraFeed(camera, MappedArray, options, clock, override)
    except FeedFormatError:
        camera.close()
        raise
