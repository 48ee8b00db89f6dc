"""What a pin's follower tells, weighed against what befell the pin and the picture.

A follower knows levels alone. Here it is known besides whether these are levels of light: not at
the clip and not in the dark; whether the picture is still the same: not behind a cut; and whether
the light swings evenly, which is no drift however often it crosses the tolerance.
"""

from collections import deque
from dataclasses import dataclass

from overlays.measure.watch.beat import Beat, BeatFinder
from overlays.measure.watch.change import Change, Event, Happening, Tolerance
from overlays.measure.watch.cut import Cut
from overlays.measure.watch.follower import PASSING_S, Follower
from overlays.measure.watch.worth import PinWorth, Worth

_LASTS_NS = round(PASSING_S * 1e9)
"""At the clip or in the dark for longer than what passes."""
_NEAR_NS = 600_000_000
_BEAT_LASTS_NS = 3_000_000_000
"""A beat that was not seen again for this long is over."""
_PART = 1.5
"""What moves by no more than so many swings may be the beat."""
_NONE = (0.0, 0.0, 0.0)
_NAMES = {Worth.CLIPPED: Happening.CLIP, Worth.DARK: Happening.LOST}


@dataclass(frozen=True, slots=True)
class PinEvent:
    """An event of one pin as it is told: what it is, when and by how much, and a beat's period."""

    change: Change | Happening
    event: Event
    period_s: float = 0.0


class Befallen:
    """Weighs the events of one pin; times only go forward.

    Parameters
    ----------
    tolerance:
        How far the pin may move unremarked.
    """

    def __init__(self, tolerance: Tolerance) -> None:
        self._condition = PinWorth()
        self._told = Worth.PLAIN
        self._ends: deque[int] = deque(maxlen=8)
        self._cuts: deque[int] = deque(maxlen=8)
        self._finder = BeatFinder(tolerance.level_stops)
        self._beat: tuple[int, Beat] | None = None

    @property
    def condition(self) -> Worth:
        """What the readings of the pin are worth now."""
        return self._condition.now

    def weigh(
        self,
        time_ns: int,
        level: float | None,
        seen: Worth,
        events: list[Event],
        follower: Follower,
        cut: Cut | None = None,
    ) -> list[PinEvent]:
        """What is to be told of the pin with one frame.

        Parameters
        ----------
        time_ns, level, seen:
            Of the frame: its time, the pin's level in stops, and what that is worth.
        events, follower:
            What the follower told with this frame, and the follower.
        cut:
            That was found with this frame.

        Returns
        -------
        list[PinEvent]
            In the order in which they are told; mostly empty.

        Examples
        --------
        >>> tolerance = Tolerance()
        >>> befallen, follower, told = Befallen(tolerance), Follower(tolerance), []
        >>> for number in range(25 * 10):  # a pin goes into the clip after three seconds
        ...     time_ns, seen = number * 40_000_000, Worth.CLIPPED if number > 75 else Worth.PLAIN
        ...     events = follower.add(time_ns, (2.0, 0.0, 0.0))
        ...     told += befallen.weigh(time_ns, 2.0, seen, events, follower)
        >>> [event.change.value for event in told], befallen.condition.name
        (['clip'], 'CLIPPED')
        """
        if cut is not None:
            self._cuts.append(cut.at_ns)
            self._beat = None
        self._condition.add(time_ns, seen)
        out = [*self._ends_of_range(time_ns, follower), *self._beats(time_ns, level, follower)]
        out += [PinEvent(each.change, each) for each in events if self._is_light(each, follower)]
        return out

    def _ends_of_range(self, time_ns: int, follower: Follower) -> list[PinEvent]:
        """That the pin is clipped or lost for good, or can be followed again."""
        now, since_ns = self._condition.now, self._condition.since_ns
        if now is self._told or time_ns - since_ns < _LASTS_NS:
            return []
        change = _NAMES.get(now, Happening.RETURNED)
        self._told = now
        self._ends.append(since_ns)
        off = follower.off_stops or _NONE
        event = Event(Change.STEP, since_ns, time_ns, _NONE, off, means=follower.means)
        return [] if self._is_cut(since_ns, follower) else [PinEvent(change, event)]

    def _beats(self, time_ns: int, level: float | None, follower: Follower) -> list[PinEvent]:
        """That the light swings evenly, once for as long as it does."""
        plain = self._condition.now is Worth.PLAIN
        if not self._finder.add(time_ns, level if plain else None):
            return []
        found, known = self._finder.find(), self._beat
        if found is None:
            if known is not None and time_ns - known[0] > _BEAT_LASTS_NS:
                self._beat = None
            return []
        self._beat = time_ns, found
        if known is not None:
            return []
        swing, off = (found.swing_stops, 0.0, 0.0), follower.off_stops or _NONE
        start_ns = time_ns - round(3.0 * found.period_s * 1e9)
        event = Event(Change.DRIFT, start_ns, time_ns, swing, off, means=follower.means)
        return [PinEvent(Happening.BEAT, event, found.period_s)]

    def _is_light(self, event: Event, follower: Follower) -> bool:
        """Whether an event is one of light that could be followed."""
        if self._is_cut(event.start_ns, follower):
            return False
        if event.change is not Change.PASSING:
            at_end = self._condition.now is not Worth.PLAIN
            before = self._condition.at(event.start_ns) is not Worth.PLAIN
            if at_end or before or self._is_near(self._ends, event.start_ns, follower):
                return False
        if self._beat is None:
            return True
        level, red, blue = event.by_stops
        swing = _PART * self._beat[1].swing_stops
        return abs(level) > swing or max(abs(red), abs(blue)) > abs(level)

    def _is_cut(self, time_ns: int, follower: Follower) -> bool:
        return self._is_near(self._cuts, time_ns, follower)

    @staticmethod
    def _is_near(times: deque[int], time_ns: int, follower: Follower) -> bool:
        """Whether a time is one of these, as far as averaging lets it be known."""
        near_ns = _NEAR_NS + round(follower.surest_s * 1e9)
        return any(abs(time_ns - each) <= near_ns for each in times)
