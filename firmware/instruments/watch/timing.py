"""When something was: times of frames as time code or as the time of day."""

from collections import deque
from dataclasses import dataclass, field

from firmware.clock import iso_utc, local_time
from firmware.feeds.base import FeedInfo
from firmware.feeds.timecode import CountedFrom, from_zero
from firmware.instruments.scene import Scene

KEPT_CODES = 2048
"""Time codes of frames followed, ten a second: a little more than the strip."""


@dataclass(frozen=True, slots=True)
class Moment:
    """When something was.

    Attributes
    ----------
    seconds:
        Since the first frame watched.
    timecode:
        Of footage, its own or else counted from its first frame; else None.
    time:
        Time of day of a live feed, ISO 8601 in UTC; else None.
    """

    seconds: float
    timecode: str | None
    time: str | None

    @property
    def words(self) -> str:
        """The one that a person would write down."""
        if self.timecode is not None:
            return self.timecode
        return f"{self.seconds:.1f} s" if self.time is None else self.time[11:19]


@dataclass(slots=True, eq=False)
class Timing:
    """Turns times of frames into moments. Belongs to the thread that follows them.

    Attributes
    ----------
    frames:
        How many were followed so far.
    seconds:
        From the first of them to the last, by the times of the frames.
    """

    frames: int = 0
    _info: FeedInfo | None = None
    _first_ns: int = 0
    _last_ns: int = 0
    _now_ns: int = 0
    _wall_s: float = 0.0
    _codes: deque[tuple[int, str]] = field(default_factory=lambda: deque(maxlen=KEPT_CODES))

    @property
    def seconds(self) -> float:
        """Followed so far."""
        return (self._last_ns - self._first_ns) / 1e9

    @property
    def first_ns(self) -> int:
        """Time of the first frame."""
        return self._first_ns

    @property
    def last_ns(self) -> int:
        """Time of the last frame."""
        return self._last_ns

    @property
    def counted_from(self) -> CountedFrom | None:
        """Where time code is counted from; None where moments have none."""
        info = self._info
        if info is None or info.is_live or info.rate <= 0.0:
            return None
        return CountedFrom.FIRST_FRAME if info.timecode is None else info.timecode.origin

    def take(self, scene: Scene) -> None:
        """A frame is followed."""
        frame = scene.frame
        if not self.frames:
            self._first_ns = frame.time_ns
        self.frames += 1
        self._last_ns, self._info = frame.time_ns, scene.read_with.info
        self._now_ns, self._wall_s = scene.now_ns, scene.wall_s
        self._codes.append((frame.time_ns, frame.timecode))

    def moment(self, time_ns: int) -> Moment:
        """The moment of a frame's time."""
        seconds, info = (time_ns - self._first_ns) / 1e9, self._info
        if info is None or info.is_live:
            return Moment(seconds, None, iso_utc(self._time_of_day(time_ns)))
        if info.rate <= 0.0:
            return Moment(seconds, None, None)
        code = info.timecode or from_zero(info.rate)
        return Moment(seconds, code.at_s(seconds), None)

    def now(self) -> Moment:
        """The moment of the last frame."""
        return self.moment(self._last_ns)

    def shown(self, time_ns: int) -> str:
        """For the screen: the time code the frame of that time came with, else the time of day."""
        code = next((text for at_ns, text in reversed(self._codes) if at_ns <= time_ns), "")
        return code or local_time(self._time_of_day(time_ns))

    def _time_of_day(self, time_ns: int) -> float:
        return self._wall_s - (self._now_ns - time_ns) / 1e9
