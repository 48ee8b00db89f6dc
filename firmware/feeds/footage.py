"""Footage: a video file as a feed, in the very codes its decoder gives."""

from collections.abc import Generator
from dataclasses import replace

import av
import av.container
import av.video.stream

from firmware.clock import Clock
from firmware.errors import FeedFormatError
from firmware.feeds.base import FeedInfo, FeedState, Pace
from firmware.feeds.decoding import (
    INTERLACED,
    faults_of,
    notes_of,
    open_container,
    reading_of,
    video_stream,
    views_of,
)
from firmware.feeds.pacing import Pacer
from firmware.feeds.start_code import start_code
from overlays.signal.frame import Frame
from overlays.signal.signal import Components, SignalOverride

DEFAULT_RATE = 25.0
"""Where a file does not say its rate; a raw stream has none."""
SKIPPED_AT_MOST = 8
"""Frames a single read decodes without showing them to catch up; then playing slips instead."""

_Frames = Generator[av.VideoFrame, None, None]


class FootageFeed:
    """A video file; see `firmware.feeds.base.Feed` for the contract.

    Raises
    ------
    FeedNotFoundError
        Nothing is at the path, or it cannot be read.
    FeedFormatError
        It is no video, holds no frame, or its pictures cannot be measured.
    """

    def __init__(
        self,
        path: str,
        *,
        clock: Clock,
        pace: Pace,
        override: SignalOverride = SignalOverride(),  # noqa: B008 - frozen
    ) -> None:
        self._path, self._pace, self._override = path, pace, override
        self._damaged = False
        self._count = 0
        self._announced = 0
        self._container, self._stream, self._frames = self._open()
        try:
            first = self._first()
            self._ahead: av.VideoFrame | None = first
            self._rate = _rate_of(self._stream)
            self._announced = _announced(self._container, self._stream, self._rate)
            self._timecode, self._doubts = start_code(
                self._container, self._stream, self._rate, path
            )
            self._info = self._describe(first)
        except BaseException:
            self._let_go()
            raise
        self._pacer = Pacer(clock, pace, self._rate)
        self._number = -1
        self._closed = False

    @property
    def info(self) -> FeedInfo:
        """What is known of the footage; warnings are added when it turns out to be damaged."""
        return self._info

    def read(self, timeout_s: float) -> Frame | FeedState:
        """The next frame: with Pace.LIVE at the file's rate and over again at its end.

        Raises
        ------
        FeedFormatError
            The pictures turn into some that cannot be measured.
        """
        if self._closed:
            return FeedState.GONE
        due = self._pacer.due(self._number, timeout_s)
        if due <= self._number:
            return FeedState.NO_FRAME_YET
        late = due - self._number - 1
        if late > SKIPPED_AT_MOST:
            self._pacer.slip(late - SKIPPED_AT_MOST)
            late = SKIPPED_AT_MOST
        decoded = None
        for _ in range(late + 1):
            decoded = self._next()
            if decoded is None:
                return FeedState.ENDED
            self._number += 1
        return self._frame(decoded) if decoded is not None else FeedState.ENDED

    def release(self, frame: Frame) -> None:
        """Nothing to give back: the decoder's buffer goes when the last view of it goes."""

    def close(self) -> None:
        """Close the file; frames that are still held stay valid."""
        if not self._closed:
            self._closed = True
            self._ahead = None
            self._let_go()

    def _let_go(self) -> None:
        """Close the file and end its decoder, whose threads go only when nothing refers to it."""
        self._frames.close()
        self._container.close()
        del self._stream, self._container, self._frames

    def _open(
        self,
    ) -> tuple[av.container.InputContainer, av.video.stream.VideoStream, _Frames]:
        container = open_container(self._path)
        try:
            stream = video_stream(container, self._path)
        except FeedFormatError:
            container.close()
            raise
        stream.thread_type = "AUTO"
        return container, stream, self._decode(container, stream)

    def _first(self) -> av.VideoFrame:
        frame = next(self._frames, None)
        if frame is None:
            raise FeedFormatError(
                f"{self._path} holds no frame that can be decoded; it is cut short or empty"
            )
        return frame

    def _decode(
        self, container: av.container.InputContainer, stream: av.video.stream.VideoStream
    ) -> _Frames:
        """Every frame that can be decoded; a packet that cannot is noted and passed over."""
        packets = container.demux(stream)
        while True:
            try:
                packet = next(packets)
            except (StopIteration, av.EOFError):
                return
            except av.FFmpegError:
                self._damaged = True
                return
            try:
                yield from packet.decode()
            except av.FFmpegError:
                self._damaged = True

    def _next(self) -> av.VideoFrame | None:
        """The next decoded frame; None at the end of footage that is stepped through."""
        decoded, self._ahead = self._ahead, None
        if decoded is None:
            decoded = next(self._frames, None)
        if decoded is None:
            self._at_end()
            if self._pace is Pace.LIVE:
                self._let_go()
                self._container, self._stream, self._frames = self._open()
                self._count = 0
                decoded = next(self._frames, None)
        if decoded is not None:
            self._count += 1
        return decoded

    def _at_end(self) -> None:
        """Say so once if there was less in the file than it promised."""
        if self._damaged:
            self._warn("the file is damaged: some of its frames could not be decoded")
        if self._count < self._announced:
            self._warn(
                f"the file is cut short: {self._count} of the {self._announced} frames it "
                "announces could be read"
            )

    def _warn(self, sentence: str) -> None:
        if sentence not in self._info.warnings:
            self._info = replace(self._info, warnings=(*self._info.warnings, sentence))

    def _frame(self, decoded: av.VideoFrame) -> Frame:
        if (decoded.width, decoded.height) != (self._info.columns, self._info.rows):
            self._info = self._describe(decoded)
        pixels, reading = reading_of(decoded, self._stream, self._override, self._path)
        return Frame(
            views_of(decoded, pixels),
            reading.signal,
            pixels.shift,
            self._number,
            self._pacer.time_ns(self._number),
            notes_of(decoded),
            self._timecode.at(self._count - 1),
        )

    def _describe(self, decoded: av.VideoFrame) -> FeedInfo:
        pixels, reading = reading_of(decoded, self._stream, self._override, self._path)
        with faults_of(self._path):
            views_of(decoded, pixels)
        signal = reading.signal
        rgb = signal.components is Components.RGB
        kind = signal.components.value if rgb else signal.subsampling.value
        warnings = (*reading.warnings, *self._doubts)
        if INTERLACED in notes_of(decoded):
            warnings = (*warnings, f"{self._path} is {INTERLACED}")
        return FeedInfo(
            name=self._path,
            description=(
                f"{self._stream.codec_context.name}, {decoded.width}x{decoded.height} "
                f"{signal.bits}-bit {kind}, {self._rate:g} frames a second"
            ),
            columns=decoded.width,
            rows=decoded.height,
            signal=signal,
            rate=self._rate,
            warnings=warnings,
            is_live=False,
            own=reading.own,
            doubts=reading.doubts,
            curve=reading.curve,
            timecode=self._timecode,
        )


def _announced(
    container: av.container.InputContainer, stream: av.video.stream.VideoStream, rate: float
) -> int:
    """Frames the file says it has: by count, or by its length where nothing else is in it."""
    if stream.frames or container.duration is None or len(container.streams) > 1:
        return stream.frames
    # A frame less: lengths are rounded, and some count to the start of the last frame.
    return max(round(container.duration / av.time_base * rate) - 1, 0)


def _rate_of(stream: av.video.stream.VideoStream) -> float:
    """Frames a second, as far as the file says."""
    for rate in (stream.average_rate, stream.guessed_rate, stream.base_rate):
        if rate is not None and 0.0 < float(rate) <= 1000.0:
            return float(rate)
    return DEFAULT_RATE
