"""The live feed: an HDMI bridge or a USB stick, through the kernel's capture interface.

Whatever happens to the cable happens inside `read`, within the time it is given: a changed source
is followed (stop, ask for the timings, set them, new buffers, start), a lost one is named by its
reason, and a device that was pulled out is opened again when it is back.
"""

import threading
from dataclasses import replace
from typing import TYPE_CHECKING

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.v4l2_refusal import GONE, NOT_NOW, refusal
from firmware.feeds.v4l2_run import Run, prepare, rechecked
from firmware.v4l2 import timings
from firmware.v4l2.device import Capture, Device, open_device, show_edid
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.kernel import Kernel, SystemKernel
from firmware.v4l2.stream import Counts, Stream, TakenBuffer
from firmware.v4l2.timings import Cabling
from overlays.signal.frame import Frame
from overlays.signal.signal import SignalOverride

if TYPE_CHECKING:
    from firmware.v4l2.jpeg import JpegDecoder

AGAIN_S = 0.25
"""How often a lost cable or device is looked for."""
SURE_S = 1.0
"""How often the cable is asked although frames come, and how long none may come."""

_STATES = {
    Cabling.NO_POWER: FeedState.UNPLUGGED,
    Cabling.NO_SIGNAL: FeedState.NO_SIGNAL,
    Cabling.NO_SYNC: FeedState.NO_SYNC,
    Cabling.UNSUPPORTED: FeedState.UNSUPPORTED,
}


class V4l2Feed:
    """Frames of a capture device.

    Parameters
    ----------
    capture:
        The device, and what is asked of it.
    clock:
        Time.
    override:
        What the user says of range and matrix.
    kernel:
        The way to the device.

    Raises
    ------
    FeedNotFoundError
        Nothing is at `path`, or it may not be opened.
    FeedFormatError
        The device gives no pictures that can be measured.
    """

    def __init__(
        self,
        capture: Capture,
        clock: Clock,
        override: SignalOverride | None = None,
        kernel: Kernel | None = None,
    ) -> None:
        self._capture, self._clock = capture, clock
        self._override = override or SignalOverride()
        self._kernel = kernel or SystemKernel()
        self.counts = Counts()
        self._lock = threading.Lock()  # release() comes from other threads than read()
        self._lent: dict[int, tuple[Stream, int]] = {}
        self._run: Run | None = None
        self._decoder: JpegDecoder | None = None
        self._number = 0
        self._closed = False
        self._looked_ns = self._framed_ns = clock.now_ns()
        self._device: Device | None = None
        try:
            self._device = self._opened()
            self._info = self._first_info(self._device)
        except OSError as fault:
            self._drop_device()
            raise refusal(capture.path, fault) from fault

    @property
    def info(self) -> FeedInfo:
        """What is known of the feed now."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The newest frame, or why there is none, within `timeout_s` seconds."""
        if self._closed:
            return FeedState.GONE
        deadline_ns = self._clock.now_ns() + round(timeout_s * 1e9)
        spoilt = self.counts.spoilt
        while True:
            try:
                answer = self._turn(deadline_ns)
            except OSError as fault:
                if fault.errno not in GONE:
                    raise refusal(self._capture.path, fault) from fault
                self._drop_device()
                return self._say(FeedState.GONE)
            if isinstance(answer, Frame):
                return answer
            if self._clock.now_ns() >= deadline_ns:
                if answer is FeedState.NO_FRAME_YET and self.counts.spoilt > spoilt:
                    return FeedState.DAMAGED
                return answer

    def release(self, frame: Frame) -> None:
        """Give a lent frame back; from any thread."""
        with self._lock:
            lent = self._lent.pop(frame.number, None)
            if lent is None:
                return
            try:
                lent[0].give_back(lent[1])
            except OSError as fault:
                # The device went while the frame was out; the next read says so.
                if fault.errno not in GONE:
                    raise refusal(self._capture.path, fault) from fault

    def close(self) -> None:
        """Let go of the device."""
        self._closed = True
        self._drop_device()

    # -- opening and closing ---------------------------------------------------------------------

    def _opened(self) -> Device:
        device = open_device(self._kernel, self._capture)
        try:
            self._check_formats(device)
            if self._capture.edid:
                show_edid(device, self._capture.edid)
        except (OSError, FeedFormatError):
            device.close()
            raise
        return device

    def _check_formats(self, device: Device) -> None:
        wanted, about = self._capture.pixel_format, f"{self._capture.path} ({device.card})"
        if not device.formats:
            raise FeedFormatError(
                f"{about} offers no pixel format that can be measured; "
                f"one of {', '.join(LAYOUTS)} is needed"
            )
        if wanted and wanted not in device.formats:
            raise FeedFormatError(
                f"{about} does not offer {wanted}; it offers {', '.join(device.formats)}"
            )

    def _reopened(self) -> Device | None:
        try:
            return self._opened()
        except OSError as fault:
            if fault.errno not in NOT_NOW:
                raise
            return None

    def _drop_device(self) -> None:
        self._stop()
        device, self._device = self._device, None
        if device is not None:
            device.close()

    def _stop(self) -> None:
        with self._lock:
            run, self._run = self._run, None
            if run is not None:
                run.stream.stop()

    # -- reading ---------------------------------------------------------------------------------

    def _turn(self, deadline_ns: int) -> Frame | FeedState:
        """One wait, of a quarter of a second at the most: a frame, or why there is none."""
        left_s = min(max(deadline_ns - self._clock.now_ns(), 0) / 1e9, AGAIN_S)
        if self._device is None:
            self._device = self._reopened()
        device = self._device
        if device is None:
            self._clock.sleep(left_s)
            return self._say(FeedState.GONE)
        run = self._run or self._start(device)
        if isinstance(run, Run):
            return self._next_frame(device, run, left_s)
        if device.tells_changes:
            device.wait(left_s, for_frames=False)
        else:
            self._clock.sleep(left_s)
        return run

    def _next_frame(self, device: Device, run: Run, left_s: float) -> Frame | FeedState:
        """The next frame; none where time is up or the stream had to be stopped."""
        filled, told = device.wait(left_s, for_frames=True)
        if (told and device.changed()) or self._stalled_or_changed(device, run):
            self._stop()
            self.counts.restarts += 1
        elif filled:
            with self._lock:
                taken = run.stream.newest()
                frame = None if taken is None else self._frame(run, taken)
            if frame is not None:
                return frame
        return FeedState.NO_FRAME_YET

    def _stalled_or_changed(self, device: Device, run: Run) -> bool:
        """Ask the cable once a second: an event may have been missed, a driver may have stopped."""
        now_ns = self._clock.now_ns()
        if now_ns - self._looked_ns < SURE_S * 1e9:
            return False
        self._looked_ns = now_ns
        self._info = rechecked(self._info)
        link, raw = device.link()
        if link is Cabling.ANALOGUE:
            return False
        if link is not Cabling.LOCKED or raw is None or timings.from_struct(raw) != run.found:
            return True
        return now_ns - self._framed_ns > SURE_S * 1e9

    def _frame(self, run: Run, taken: TakenBuffer) -> Frame | None:
        """The frame of a filled buffer; a JPEG's buffer is free as soon as it is decoded."""
        signal = run.signal
        if run.layout.view is not None:
            planes = run.layout.view(taken.data, run.rows, run.columns, run.stride)
            self._lent[self._number] = (run.stream, taken.index)
        else:
            if self._decoder is None:
                # Only sticks that compress pay for a decoder at start-up.
                from firmware.v4l2.jpeg import JpegDecoder  # noqa: PLC0415

                self._decoder = JpegDecoder()
            decoded = self._decoder.decode(taken.data)
            run.stream.give_back(taken.index)
            if decoded is None:
                self.counts.broken += 1
                return None
            planes, signal = decoded[0], replace(signal, subsampling=decoded[1])
        now_ns = self._clock.now_ns()
        frame = Frame(
            planes=planes,
            signal=signal,
            shift=run.layout.shift,
            number=self._number,
            time_ns=now_ns if taken.time_ns is None else taken.time_ns,
        )
        self._number += 1
        self._framed_ns = now_ns
        self.counts.delivered += 1
        return frame

    # -- the source ------------------------------------------------------------------------------

    def _start(self, device: Device) -> Run | FeedState:
        """Take what the cable brings and start the stream; or say why that cannot be."""
        self._looked_ns = self._framed_ns = self._clock.now_ns()
        if device.tells_changes:
            device.changed()  # what was told before now is answered by the question below
        link, found = self._cable(device)
        if link in _STATES:
            return self._say(_STATES[link], found)
        run, info = prepare(device, self._capture, self._override, found, self.counts)
        if run is None:
            return self._say(FeedState.UNSUPPORTED, found)
        run.stream.start()
        with self._lock:
            self._run, self._info = run, info
        return run

    def _cable(self, device: Device) -> tuple[Cabling, timings.Timings | None]:
        """State and timings of the cable; good timings are set to be received."""
        link, raw = device.link()
        if raw is None:
            return link, None
        if link is Cabling.LOCKED:
            device.follow(raw)
        return link, timings.from_struct(raw)

    def _first_info(self, device: Device) -> FeedInfo:
        """What can be told before the first frame, also where there is no signal."""
        link, found = self._cable(device)
        usable = None if link in _STATES else found
        return prepare(device, self._capture, self._override, usable, self.counts)[1]

    def _say(self, state: FeedState, found: timings.Timings | None = None) -> FeedState:
        """The state; the description then tells what it is about."""
        about = f" ({found})" if found is not None else ""
        self._info = replace(self._info, description=f"{state.value}{about}")
        return state
