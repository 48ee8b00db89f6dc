"""The pictures of a video file in order, each with the time the file gives it."""

from collections.abc import Generator
from dataclasses import dataclass
from fractions import Fraction

import av
import av.container
import av.video.stream

from firmware.feeds.decoding import UNHELD, bounded, open_container, video_stream

DEFAULT_RATE = 25.0
"""Where a file does not say its rate; a raw stream has none."""
_UNEVEN = 0.2
"""Share of a frame's usual length by which a step may differ before it counts as uneven: time
stamps in whole milliseconds differ by half of one, at 120 frames a second a sixteenth."""
_UNEVEN_STEPS = 3
"""So many uneven steps make a rate that varies; one or two are frames left out."""

MOST_EMPTY = 2000
"""Packets one after the other without a picture, after which none is looked for any more: a minute
of what cannot be decoded. Damage can announce thousands of millions of packets of no size."""

_Pictures = Generator[av.VideoFrame, None, None]


@dataclass(frozen=True, slots=True)
class Picture:
    """A decoded picture and its place in time.

    Attributes
    ----------
    decoded:
        The picture.
    at_ns, lasts_ns:
        When it is shown, from the first picture of the file, and for how long as far as is known.
    """

    decoded: av.VideoFrame
    at_ns: int
    lasts_ns: int

    @property
    def end_ns(self) -> int:
        """When it is over."""
        return self.at_ns + self.lasts_ns


class Reel:
    """One pass through a file, from its first picture to its last.

    Times are those of the file. Where a picture has none, or one that lies before its
    predecessor's, it is counted on from that.

    Raises
    ------
    FeedNotFoundError, FeedFormatError
        As of `open_container` and `video_stream`.

    Attributes
    ----------
    stream, container, rate:
        The stream that is read, of what, and its frames a second as far as the file says.
    is_damaged:
        Whether something could not be decoded so far.
    jumped_ns:
        Where time stamps first jumped back; None where they did not.
    """

    def __init__(self, path: str) -> None:
        self.container = open_container(path)
        try:
            self.stream = video_stream(self.container, path)
        except BaseException:
            self.container.close()
            raise
        self.stream.thread_type = "AUTO"
        bounded(self.stream)
        self.rate = rate_of(self.stream)
        self.is_damaged = False
        self.jumped_ns: int | None = None
        self._pictures = self._decode()
        self._last: Picture | None = None
        self._zero_ns = 0
        self._uneven = 0
        self._longest_ns = 0

    def next(self) -> Picture | None:
        """The next picture that can be decoded; None at the end."""
        decoded = next(self._pictures, None)
        if decoded is None:
            return None
        self._last = self._timed(decoded)
        return self._last

    @property
    def is_uneven(self) -> bool:
        """Whether the pictures so far came at a rate that varies."""
        return self._uneven >= _UNEVEN_STEPS

    @property
    def missing_s(self) -> tuple[float, float] | None:
        """(seconds there were, seconds announced) where the file ended too early; else None.

        What the file announces is rounded, and some count to the start of the last picture: a
        picture less, however long pictures last here, is nothing missing.
        """
        announced, last = announced_s(self.container, self.stream), self._last
        if announced is None or last is None:
            return None
        slack_s = max(1.5 / self.rate, self._longest_ns / 1e9)
        # Some count from the first picture, some from where time begins.
        reached_s = (last.end_ns + max(self._zero_ns, 0)) / 1e9
        return None if reached_s >= announced - slack_s else (last.end_ns / 1e9, announced)

    def close(self) -> None:
        """Close the file and end its decoder, whose threads go only when nothing refers to it.

        What a thread that is stuck still decodes is left to the end of the process.
        """
        try:
            self._pictures.close()
        except ValueError:  # it runs, in that thread
            return
        self.container.close()
        del self.stream, self.container, self._pictures

    def _decode(self) -> _Pictures:
        """Every picture that can be decoded; a packet that cannot is noted and passed over."""
        packets = self.container.demux(self.stream)
        empty = 0
        while empty < MOST_EMPTY:
            try:
                packet = next(packets)
            except (StopIteration, av.EOFError):
                return
            except (av.FFmpegError, *UNHELD):
                self.is_damaged = True
                return
            empty += 1
            try:
                for picture in packet.decode():
                    empty = 0
                    yield picture
            except (av.FFmpegError, *UNHELD):
                self.is_damaged = True
        self.is_damaged = True

    def _timed(self, decoded: av.VideoFrame) -> Picture:
        base = decoded.time_base or self.stream.time_base
        lasts_ns = _ns(decoded.duration, base) or round(1e9 / self.rate)
        last = self._last
        if decoded.pts is None:
            return Picture(decoded, 0 if last is None else last.end_ns, lasts_ns)
        stamp_ns = _ns(decoded.pts, base)
        if last is None:
            self._zero_ns = stamp_ns
            return Picture(decoded, 0, lasts_ns)
        at_ns = stamp_ns - self._zero_ns
        if at_ns <= last.at_ns:
            self.jumped_ns = last.end_ns if self.jumped_ns is None else self.jumped_ns
            self._zero_ns = stamp_ns - last.end_ns
            return Picture(decoded, last.end_ns, lasts_ns)
        self._count_step(at_ns - last.at_ns)
        return Picture(decoded, at_ns, lasts_ns)

    def _count_step(self, step_ns: int) -> None:
        usual_ns = 1e9 / self.rate
        self._uneven += abs(step_ns - usual_ns) > _UNEVEN * usual_ns
        self._longest_ns = max(self._longest_ns, step_ns)


def rate_of(stream: av.video.stream.VideoStream) -> float:
    """Frames a second, as far as a stream says."""
    for rate in (stream.average_rate, stream.guessed_rate, stream.base_rate):
        if rate is not None and 0.0 < float(rate) <= 1000.0:
            return float(rate)
    return DEFAULT_RATE


def announced_s(
    container: av.container.InputContainer, stream: av.video.stream.VideoStream
) -> float | None:
    """Seconds of pictures that a file says it has; None where it does not say.

    An edit list is taken into account by the length of the stream. The length of the file as a
    whole counts where nothing else is in it: sound may go on for longer.
    """
    if stream.duration is not None and stream.time_base is not None:
        return float(stream.duration * stream.time_base)
    if container.duration is not None and len(container.streams) == 1:
        return container.duration / av.time_base
    return None


def _ns(stamp: int | None, base: Fraction | None) -> int:
    """A time stamp in nanoseconds, 0 where there is none."""
    if not stamp or base is None:
        return 0
    return round(stamp * base * 1_000_000_000)
