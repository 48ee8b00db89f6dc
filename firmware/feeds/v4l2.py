"""The live feed: an HDMI bridge or a USB stick, through the kernel's capture interface.

Whatever happens to the cable happens inside `read`, within the time it is given: a changed source
is followed (stop, ask for the timings, set them, new buffers, start), a lost one is named by its
reason, and a device that was pulled out is opened again when it is back. One that fails or falls
silent is started again with growing pauses: once it was open, nothing a driver answers is raised.
"""

import contextlib
import threading
from dataclasses import replace

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.again import STREAM_ONLY, Again, Depth
from firmware.feeds.base import FeedInfo, FeedState
from firmware.feeds.silence import Silence
from firmware.feeds.v4l2_refusal import GONE, NOT_NOW, refusal
from firmware.feeds.v4l2_run import (
    STATES,
    Run,
    Unpacker,
    first_info,
    is_held,
    open_checked,
    prepare,
    take_cable,
)
from firmware.v4l2 import timings
from firmware.v4l2.bounds import believed_ns
from firmware.v4l2.capture_buffers import Counts, Stream, TakenBuffer
from firmware.v4l2.device import Capture, Device
from firmware.v4l2.kernel import Kernel, SystemKernel
from overlays.errors import OverlayError
from overlays.signal.frame import Frame
from overlays.signal.signal import SignalOverride

AGAIN_S = 0.25
"""How often a lost cable or device is looked for."""
SURE_S = 1.0
"""How often the cable is asked although frames come, and how long none may come (`silence.py`)."""
QUIET_S = 2.0
"""The same of a device without timings: it has no cable to ask about."""
AWAY_S = 0.45
"""Pictures that wait where nobody has asked for so long are old: the buffers were full."""


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
        self._unpacker = Unpacker()
        self._number, self._closed = 0, False
        self._looked_ns = self._asked_ns = clock.now_ns()
        self._again, self._silence = Again(), Silence()
        self._device: Device | None = None
        try:
            self._device = open_checked(self._kernel, capture)
            self._info = first_info(self._device, capture, self._override, self.counts)
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
        start_ns = self._clock.now_ns()
        deadline_ns = start_ns + round(timeout_s * 1e9)
        is_late = start_ns - self._asked_ns > AWAY_S * 1e9
        spoilt = self.counts.spoilt
        while True:
            try:
                if is_late and self._passed_over():
                    # Whoever is as late every time would else never stay for a new one.
                    deadline_ns = max(deadline_ns, start_ns + round(AGAIN_S * 1e9))
                is_late = False
                answer = self._turn(deadline_ns)
            except (OSError, FeedFormatError, OverlayError) as fault:
                if (answer := self._failed(fault)) is FeedState.GONE:
                    return answer
            self._asked_ns = self._clock.now_ns()
            is_over = self._asked_ns >= deadline_ns
            if is_over and answer is FeedState.NO_FRAME_YET and self.counts.spoilt > spoilt:
                return FeedState.DAMAGED
            if is_over or isinstance(answer, Frame):
                return answer

    def release(self, frame: Frame) -> None:
        """Give a lent frame back; from any thread."""
        with self._lock:
            lent = self._lent.pop(frame.number, None)
            if lent is None:
                return
            # The device went, or fails, while the frame was out: the next read says so.
            with contextlib.suppress(OSError):
                lent[0].give_back(lent[1])

    def close(self) -> None:
        """Let go of the device."""
        self._closed = True
        self._drop_device()

    def _reopened(self) -> Device | None:
        try:
            return open_checked(self._kernel, self._capture)
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

    def _passed_over(self) -> bool:
        """Give back what waits; whether there was anything, by which the device is not silent."""
        with self._lock:
            was_there = self._run is not None and self._run.stream.pass_over()
        if was_there:
            self._silence.looked(self._clock.now_ns(), found=True)
        return was_there

    def _turn(self, deadline_ns: int) -> Frame | FeedState:
        """One wait, of a quarter of a second at the most: a frame, or why there is none."""
        left_s = min(max(deadline_ns - self._clock.now_ns(), 0) / 1e9, AGAIN_S)
        rest_s = 0.0 if self._run is not None else self._again.rest_s(self._clock.now_ns())
        if rest_s > 0.0:
            self._clock.sleep(min(left_s, rest_s))
            return self._say_again()
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
        if told and device.changed():
            self._stop()
            self.counts.restarts += 1
            return FeedState.NO_FRAME_YET
        was_asked = self._ask_cable(device, run)
        if self._run is not run:
            return self._say_again()
        # What waits is taken before anything is called silent: it may be us who are late.
        with self._lock:
            taken = run.stream.newest() if filled else None
            frame = None if taken is None else self._frame(run, taken)
        self._silence.looked(self._clock.now_ns(), found=frame is not None)
        if frame is not None:
            return frame
        least_s = SURE_S if run.found is not None else QUIET_S
        if was_asked and self._silence.is_over(least_s, self._again.tries):
            self.counts.silences += 1
            self.counts.restarts += 1
            return self._start_again(FeedState.SILENT, FeedState.SILENT.value)
        return self._say_again()

    def _ask_cable(self, device: Device, run: Run) -> bool:
        """Ask the cable once a second: an event may have been missed, a driver may have stopped.

        Stops the stream where it has to be started anew. Whether it was asked and all is well.
        """
        now_ns = self._clock.now_ns()
        if now_ns - self._looked_ns < SURE_S * 1e9:
            return False
        self._looked_ns, self._info = now_ns, self._info.rechecked()
        if not (is_same := is_held(device, run.found)):
            self._stop()
            self.counts.restarts += 1
        return is_same

    def _failed(self, fault: Exception) -> FeedState:
        """A driver refuses, or answers what cannot be: gone, or started again after a pause."""
        if isinstance(fault, OSError) and fault.errno in GONE:
            self._drop_device()
            return self._say(FeedState.GONE)
        self.counts.failures += 1
        said = refusal(self._capture.path, fault) if isinstance(fault, OSError) else fault
        return self._start_again(FeedState.FAILED, str(said))

    def _start_again(self, state: FeedState, reason: str) -> FeedState:
        depth = self._again.failed(state, reason, self._clock.now_ns())
        (self._stop if depth is Depth.STREAM else self._drop_device)()
        return self._say_again()

    def _say_again(self) -> FeedState:
        """What is wrong; one that was started again just now may yet send its pictures."""
        again = self._again
        if again.state is None:
            return FeedState.NO_FRAME_YET
        self._info = replace(self._info, description=again.words)
        is_hopeful = again.state is FeedState.SILENT and again.tries <= STREAM_ONLY
        return FeedState.NO_FRAME_YET if is_hopeful else again.state

    def _frame(self, run: Run, taken: TakenBuffer) -> Frame | None:
        """The frame of a filled buffer; a JPEG's buffer is free as soon as it is decoded."""
        unpacked = self._unpacker.planes(run, taken)
        if run.layout.view is None:
            run.stream.give_back(taken.index)
        else:
            self._lent[self._number] = (run.stream, taken.index)
        if unpacked is None:
            self.counts.broken += 1
            return None
        frame = Frame(
            planes=unpacked[0],
            signal=unpacked[1],
            shift=run.layout.shift,
            number=self._number,
            time_ns=believed_ns(taken.time_ns, self._clock.now_ns()),
        )
        self._number += 1
        if self._again.state is not None:
            self._again = Again()
            self._info = run.info
        self.counts.delivered += 1
        return frame

    def _start(self, device: Device) -> Run | FeedState:
        """Take what the cable brings and start the stream; or say why that cannot be."""
        self._looked_ns = self._clock.now_ns()
        if device.tells_changes:
            device.changed()  # what was told before now is answered by the question below
        link, found = take_cable(device)
        if link in STATES:
            self._again = Again()  # whatever was wrong before: now it is the cable
            return self._say(STATES[link], found)
        run, info = prepare(device, self._capture, self._override, found, self.counts)
        if run is None:
            return self._say(FeedState.UNSUPPORTED, found)
        run.stream.start()
        self._silence.starts(self._clock.now_ns())
        with self._lock:
            self._run, self._info = run, info
        self._say_again()  # until a frame has come
        return run

    def _say(self, state: FeedState, found: timings.Timings | None = None) -> FeedState:
        """The state; the description then tells what it is about."""
        about = state.value if found is None else f"{state.value} ({found})"
        self._info = replace(self._info, description=about)
        return state
