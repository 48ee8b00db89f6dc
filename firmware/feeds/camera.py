"""The Raspberry Pi's own camera as a feed, through picamera2.

picamera2 is imported only when this feed is opened: it brings half a second of imports and must be
the one of the board's own system. One request of the camera is one frame, lent until released.
"""

import contextlib
from concurrent.futures import CancelledError
from dataclasses import replace

import numpy as np

from firmware.clock import Clock
from firmware.errors import FeedNotFoundError, FirmwareError
from firmware.feeds.again import Again
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.camera_calls import Job, Mapped, Mapping, PiCamera, Request
from firmware.feeds.camera_options import CameraOptions, CameraStream, camera_options
from firmware.feeds.camera_raw import sensor_curve
from firmware.feeds.camera_settled import BUFFERS, configuration, settled
from firmware.v4l2.bounds import believed_ns
from overlays.signal.curves import Curve
from overlays.signal.frame import Frame
from overlays.signal.signal import SignalOverride

FIRST_S = 15.0
"""How long the first request may take: exposure settles in it, and a slow machine took five seconds
to open a camera alone."""
QUIET_S = 2.0
"""How long it may send nothing before it is stopped and started."""
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
        self._lent: dict[int, tuple[Request, Mapped]] = {}
        self._job: Job | None = None
        self._number = 0
        self._closed = False
        camera.configure(configuration(camera, options))
        self._settled = settled(camera.camera_configuration(), options)
        self._asked = options.size
        camera.start()
        self._again, self._framed_ns = Again(), clock.now_ns()
        self._info = self._first = self._described(override or SignalOverride())
        self._framed_ns = clock.now_ns()

    @property
    def info(self) -> FeedInfo:
        """What is known of the feed."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The newest frame within `timeout_s` seconds."""
        if self._closed:
            return FeedState.GONE
        request = self._request(timeout_s)
        now_ns = self._clock.now_ns()
        if request is None:
            is_quiet = len(self._lent) < BUFFERS and now_ns - self._framed_ns > QUIET_S * 1e9
            return self._start_again(now_ns) if is_quiet else FeedState.NO_FRAME_YET
        self._framed_ns = now_ns
        if self._again.state is not None:
            self._again, self._info = Again(), self._first
        # Flat and for reading: a picture's rows are longer in memory than it is wide.
        mapping = self._mapped(request, self._name, reshape=False, write=False)
        array = mapping.__enter__().array
        metadata = request.get_metadata()
        frame = Frame(
            planes=self._settled.planes(np.asarray(array)),
            signal=self._info.signal,
            number=self._number,
            time_ns=believed_ns(int(metadata.get("SensorTimestamp", now_ns)), now_ns),
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
        for request, mapping in self._lent.values():
            mapping.__exit__(None, None, None)
            request.release()
        self._lent.clear()
        self._stop()
        self._camera.close()

    def _stop(self) -> None:
        """Stop it, also where no picture comes: a request that is waited for is given up first."""
        self._camera.cancel_all_and_flush()
        with contextlib.suppress(TimeoutError, CancelledError):
            if self._job is not None:
                self._job.get_result(timeout=0.0).release()  # it came just now
        self._job = None
        self._camera.stop()

    def _start_again(self, now_ns: int) -> FeedState:
        """Stop and start a camera that sends nothing, with growing pauses."""
        again = self._again
        if again.rest_s(now_ns) > 0.0:
            return FeedState.SILENT
        reason = FeedState.SILENT.value
        try:
            self._stop()
            self._camera.start()
        except (RuntimeError, OSError) as fault:
            reason = f"{reason} ({fault})"
        again.failed(FeedState.SILENT, reason, now_ns)
        self._info = replace(self._info, description=f"{again.words}; check its ribbon cable")
        return FeedState.SILENT

    def _request(self, timeout_s: float) -> Request | None:
        """The next request; one that is late is waited for again by the next call."""
        if self._job is None:
            self._job = self._camera.capture_request(wait=False)
        try:
            request = self._job.get_result(timeout=timeout_s)
        except TimeoutError:
            return None
        self._job = None
        return request

    def _described(self, override: SignalOverride) -> FeedInfo:
        """Also takes the first request: only pictures tell the black level."""
        request = self._request(FIRST_S)
        if request is None:
            self.close()
            raise FeedNotFoundError(
                f"camera: no picture within {FIRST_S:g} s; check the ribbon cable at both ends, "
                "and that no other program uses the camera"
            )
        metadata = request.get_metadata()
        request.release()
        duration_us = float(metadata.get("FrameDuration", 0))
        rate = 1e6 / duration_us if duration_us else 0.0
        curve: Curve | None = None
        warnings: tuple[str, ...]
        own = self._settled.signal
        columns, rows = self._settled.size
        if self._settled.bayer is None:
            signal, warnings = override.over(own), (PICTURE_WARNING,)
        else:
            signal, warnings = own, RAW_WARNINGS
            blacks = tuple(int(level) for level in metadata.get("SensorBlackLevels", ()))
            curve = sensor_curve(blacks, signal.bits)
        what = "picture" if self._settled.bayer is None else "raw"
        speed = f"{rate:.4g} frames a second" if rate else "frames a second not told"
        if self._settled.bayer is None and (columns, rows) != self._asked:
            wide, high = self._asked
            speed += f"; {wide}x{high} was asked for, which this camera does not give"
        return FeedInfo(
            name="camera",
            description=f"{what} {columns}x{rows}, {signal.bits} bit, {speed}",
            columns=columns,
            rows=rows,
            signal=signal,
            rate=rate,
            warnings=warnings,
            own=own,
            curve=curve,
            carriage=None if curve is None else curve.carriage,
        )


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
    except FirmwareError:
        camera.close()
        raise
    except (RuntimeError, OSError) as fault:
        camera.close()
        raise FeedNotFoundError(
            f"camera: number {options.number} cannot be started ({fault}); check its ribbon cable, "
            "and that no other program uses it"
        ) from fault
