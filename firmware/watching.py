"""A watch over a feed: frames become readings of pins, readings events with their time."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from firmware.clock import Clock, iso_utc
from firmware.feeds.base import Feed, FeedState
from firmware.feeds.timecode import TimeCode, from_zero
from firmware.profiles.model import Profile
from firmware.written.places import WrittenSpot, usual_size
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading, read_spot
from overlays.measure.watch.change import Tolerance
from overlays.measure.watch.watch import TakeEvent, Watch, values_of
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

_WAIT_S = 0.5
_OVER = frozenset({FeedState.ENDED, FeedState.GONE})


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


@dataclass(slots=True)
class Timing:
    """Turns times of frames into moments."""

    rate: float
    is_footage: Callable[[], bool]
    timecode: TimeCode | None = None
    first_ns: int | None = None
    first_wall_s: float = 0.0

    def begin(self, time_ns: int, wall_s: float) -> None:
        """The first frame has this time, and it is so late now."""
        if self.first_ns is None:
            self.first_ns, self.first_wall_s = time_ns, wall_s

    def moment(self, time_ns: int) -> Moment:
        """The moment of a frame's time."""
        seconds = (time_ns - (self.first_ns or 0)) / 1e9
        if self.is_footage() and self.rate > 0.0:
            code = self.timecode or from_zero(self.rate)
            return Moment(seconds, code.at(round(seconds * self.rate)), None)
        if self.is_footage():
            return Moment(seconds, None, None)
        return Moment(seconds, None, iso_utc(self.first_wall_s + seconds))


@dataclass(slots=True, eq=False)
class Watching:
    """Watches the pins of an open feed.

    Parameters
    ----------
    feed, profile, pins:
        What to watch, with what and where; pins are numbered from 1.
    tolerance:
        How far they may move.
    clock:
        Of the feed.
    is_footage:
        Whether events carry time code instead of the time of day.
    """

    feed: Feed
    profile: Profile
    pins: Sequence[WrittenSpot]
    tolerance: Tolerance
    clock: Clock
    is_footage: Callable[[], bool]
    frames: int = 0
    last_ns: int = 0
    spots: dict[int, SpotReading] = field(default_factory=dict)
    watch: Watch = field(init=False)
    timing: Timing = field(init=False)
    _ruler: tuple[Signal, int, Yardstick] | None = None

    def __post_init__(self) -> None:
        self.watch = Watch(range(1, len(self.pins) + 1), self.tolerance)
        info = self.feed.info
        self.timing = Timing(info.rate, self.is_footage, info.timecode)

    @property
    def seconds(self) -> float:
        """Watched so far, by the times of the frames."""
        return 0.0 if self.timing.first_ns is None else (self.last_ns - self.timing.first_ns) / 1e9

    def events(
        self, frames: int | None = None, seconds: float | None = None
    ) -> Iterator[TakeEvent | None]:
        """Events as they are sure, and None after each frame without one.

        Ends after so many frames or seconds of the feed, with the feed, or with its silence of ten
        seconds where an end was asked for.
        """
        heard_ns = self.clock.now_ns()
        while not self._is_over(frames, seconds):
            got = self.feed.read(_WAIT_S)
            if not isinstance(got, Frame):
                if got in _OVER:
                    break
                limited = frames is not None or seconds is not None
                if limited and self.clock.now_ns() - heard_ns > 10e9:
                    break
                continue
            heard_ns = self.clock.now_ns()
            try:
                found = self._take(got)
            finally:
                self.feed.release(got)
            if found:
                yield from found
            else:
                yield None
        yield from self.watch.finish()

    def _is_over(self, frames: int | None, seconds: float | None) -> bool:
        enough = frames is not None and self.frames >= frames
        return enough or (seconds is not None and self.seconds >= seconds)

    def _take(self, frame: Frame) -> list[TakeEvent]:
        self.timing.begin(frame.time_ns, self.clock.wall_s())
        self.frames, self.last_ns = self.frames + 1, frame.time_ns
        if self._ruler is None or self._ruler[:2] != (frame.signal, frame.shift):
            yard = self.profile.yardstick(frame.signal, frame.shift)
            self._ruler = frame.signal, frame.shift, yard
        size = usual_size(frame.rows, self.profile.spot_percent)
        self.spots = {
            number: read_spot(frame, self._ruler[2], pin.place(frame.columns, frame.rows, size))
            for number, pin in enumerate(self.pins, start=1)
        }
        readings = {number: values_of(spot) for number, spot in self.spots.items()}
        return self.watch.add(frame.time_ns, readings)


def offsets(watch: Watch) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """(pins, 3) of every pin from its mark, nan while that is being learnt."""
    out = np.full((len(watch.pins), 3), np.nan)
    for place, pin in enumerate(watch.pins):
        off = watch.follower(pin).off_stops
        if off is not None:
            out[place] = off
    return out
