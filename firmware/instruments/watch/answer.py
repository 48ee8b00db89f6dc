"""What a watch finds."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from firmware.answers.origin import Origin
from firmware.feeds.timecode import CountedFrom as TimeCodeOrigin
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.watch.timing import Moment
from overlays.draw.moment.layers import PinFlags, Strip
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Between, Mood, Three, Tolerance
from overlays.measure.watch.events import TakeEvent
from overlays.wording.reasons import Bound, Reason

NO_TIME_CODE = "the feed has no time code of its own: it is counted from the first frame"


@dataclass(frozen=True, slots=True)
class Told:
    """An event with its moments, its time as the screen shows it, and when it was sure.

    `first_ns` and `tolerance` are those of its watch: the time of its first frame, and the limits.
    """

    event: TakeEvent
    start: Moment
    end: Moment
    shown: str
    said: Moment | None = None
    first_ns: int = 0
    tolerance: Tolerance = Tolerance()


@dataclass(frozen=True, slots=True, eq=False)
class EventCodes:
    """The codes that an event was told of: pins and spot when it was sure, pins in other frames."""

    kept: KeptPlaces
    frames: Mapping[int, PinFrames] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PinState:
    """One pin as it is now.

    Attributes
    ----------
    pin, place:
        Its number, and where it is.
    reference, off_stops:
        (level, red, blue) that was learnt, and off it; None until then, and where there is no light
        that can be followed.
    mood:
        What its follower is at.
    surest_s:
        The shortest passing, in seconds, that is sure to be seen; None until its noise was learnt.
    warnings:
        Of its reading.
    stops, unknown, bound:
        What it reads now, why that has no ±, and whether it is no more than a bound.
    means:
        What `off_stops` was reckoned from; None where nothing was learnt.
    frames:
        The pin's codes in the frames that those are made of, as far as they are kept.
    """

    pin: int
    place: SpotPlace
    reference: Three | None
    off_stops: Three | None
    mood: Mood
    surest_s: float | None
    warnings: tuple[str, ...]
    stops: float | None = None
    unknown: Reason | None = None
    bound: Bound | None = None
    means: Between | None = None
    frames: PinFrames | None = None


@dataclass(frozen=True, slots=True, eq=False)
class WatchAnswer:
    """A watch as it stands.

    Attributes
    ----------
    origin:
        Of the last frame.
    tolerance:
        How far pins may move unremarked.
    flags:
        The pins as they are drawn.
    mood:
        Of the pin that has most to say; None where nothing is watched.
    worst:
        The pin farthest from its reference, and how far; None while all learn.
    pins, events:
        As they are, and what happened, oldest first.
    strip:
        The last minutes; None of frames that are on no screen.
    frames, seconds:
        Watched so far; frames None where they were not counted, as in a mark.
    counted_from:
        Where time code is counted from; None where events have none.
    of_feed:
        What makes feed, profile or course less certain.
    first_ns, last_ns:
        Times of the first frame that was watched, and of the last.
    """

    origin: Origin
    tolerance: Tolerance
    flags: PinFlags
    mood: Mood | None = None
    worst: tuple[int, Three] | None = None
    pins: tuple[PinState, ...] = ()
    events: tuple[Told, ...] = ()
    strip: Strip | None = None
    frames: int | None = 0
    seconds: float = 0.0
    counted_from: TimeCodeOrigin | None = None
    of_feed: tuple[str, ...] = ()
    first_ns: int = 0
    last_ns: int = 0

    @property
    def is_beyond(self) -> bool:
        """Whether the pin farthest off its reference is farther off than the tolerance."""
        if self.worst is None:
            return False
        level, *sides = map(abs, self.worst[1])
        allowed = self.tolerance
        return level > allowed.level_stops or max(sides) > allowed.balance_stops

    @property
    def verdict(self) -> str:
        """What it says of the light, in a few words for every outlet; empty if none is watched."""
        if self.mood is None:
            return ""
        words, within = self.mood.value, f"±{self.tolerance.level_stops:.2f} st"
        if self.mood in {Mood.CLIPPED, Mood.DARK}:
            pins = [str(each.pin) for each in self.pins if each.mood is self.mood]
            words = f"pin {', '.join(pins)}: {words}"
        if self.worst is not None and self.is_beyond:
            beyond = f"pin {self.worst[0]} is beyond {within}"
            return beyond if self.mood is Mood.STEADY else f"{words}: {beyond}"
        if self.worst is not None and self.mood is Mood.STEADY and self.events:
            return f"within {within}"
        return words

    @property
    def warnings_so_far(self) -> tuple[str, ...]:
        """What makes the watch less certain while it goes on."""
        out = list(self.of_feed)
        # Nobody asks a simulated feed for its place in a file.
        is_file = not self.origin.info.is_simulated
        if is_file and self.counted_from is TimeCodeOrigin.FIRST_FRAME:
            out.append(NO_TIME_CODE)
        for each in self.pins:
            out += [f"pin {each.pin}: {words}" for words in each.warnings]
        out += [
            f"pin {each.pin} is clipped: its light cannot be followed; close the lens, or move "
            "the pin"
            for each in self.pins
            if each.mood is Mood.CLIPPED
        ]
        out += [
            f"pin {each.pin} has no light to follow: it lies below what can be read; move the pin"
            for each in self.pins
            if each.mood is Mood.DARK
        ]
        out += [
            f"pin {each.pin} is too noisy for this tolerance: use a larger spot or a wider "
            "tolerance"
            for each in self.pins
            if each.mood is Mood.NOISY
        ]
        return tuple(dict.fromkeys(out))

    @property
    def warnings(self) -> tuple[str, ...]:
        """What makes it less certain once it has ended."""
        out = list(self.warnings_so_far)
        out += [
            f"pin {each.pin} was changing when the watch ended, {_signed(each.off_stops[0])} st "
            "off its reference: what it was shows only if the watch goes on"
            for each in self.pins
            if each.mood is Mood.CHANGING and each.off_stops is not None
        ]
        if all(each.mood is Mood.LEARNING for each in self.pins):
            out.append("the watch ended before the reference was learnt; watch for longer")
        return tuple(dict.fromkeys(out))


def _signed(stops: float) -> str:
    return f"{round(stops, 2) + 0.0:+.2f}"  # + 0.0: no minus zero
