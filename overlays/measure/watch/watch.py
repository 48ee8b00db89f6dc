"""Watch: all pins of a take together. One event for what several pins saw at once."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from overlays.measure.spot.spot import SpotReading
from overlays.measure.watch.change import Change, Event, Mood, Three, Tolerance
from overlays.measure.watch.follower import NO_LIGHT_STOPS, Follower

TOGETHER_NS = 600_000_000
"""Changes of a kind that begin within this are one change."""
_ALIKE_STOPS = 0.1


@dataclass(frozen=True, slots=True)
class PinChange:
    """What one event did to one pin: (level, red, blue) changed by, and off the mark after it."""

    pin: int
    by_stops: Three
    off_stops: Three


@dataclass(frozen=True, slots=True)
class TakeEvent:
    """One change of light in a take.

    Attributes
    ----------
    change:
        Drift, step or passing.
    start_ns, end_ns:
        As of `Event`, of the pin that saw it first and last.
    pins:
        What it did to each pin that saw it, by number.
    of_pins:
        How many pins are watched.
    over_gap:
        Whether it happened while there were no frames.
    """

    change: Change
    start_ns: int
    end_ns: int
    pins: tuple[PinChange, ...]
    of_pins: int
    over_gap: bool = False

    @property
    def words(self) -> str:
        """What it is, in one plain sentence without its time."""
        which = _which(self)
        greatest = max(self.pins, key=lambda each: max(map(abs, each.by_stops)))
        by = _by(greatest.by_stops)
        if self.change is Change.PASSING:
            return (
                f"something passed {which} ({by}) for {(self.end_ns - self.start_ns) / 1e9:.1f} s"
            )
        if self.change is Change.DRIFT:
            return f"{which} drifts, {by} so far: a cloud, the sun, a lamp warming up"
        if self.over_gap:
            return f"{which} came back {by} after a gap in the feed"
        return f"{which} stepped {by}: {_step_cause(self)}"


def short_words(event: TakeEvent) -> str:
    """An event in a few words, for lists.

    Parameters
    ----------
    event:
        With at least one pin.

    Returns
    -------
    str
        Such as "step -0.33, every pin".
    """
    which = _which(event)
    greatest = max(event.pins, key=lambda each: max(map(abs, each.by_stops)))
    level = greatest.by_stops[0]
    by = "dark" if level <= NO_LIGHT_STOPS / 2.0 else f"{level:+.2f}"
    if max(map(abs, greatest.by_stops[1:])) > abs(level):
        by = f"R {greatest.by_stops[1]:+.2f}, B {greatest.by_stops[2]:+.2f}"
    what = {Change.DRIFT: "drift", Change.STEP: "step", Change.PASSING: "passed"}[event.change]
    return f"{what} {by}, {which}"


def _which(event: TakeEvent) -> str:
    numbers = [str(each.pin) for each in event.pins]
    if len(numbers) == event.of_pins > 1:
        return "every pin"
    return f"pin {numbers[0]}" if len(numbers) == 1 else f"pins {', '.join(numbers)}"


def _by(by: Three) -> str:
    level, red, blue = by
    if level <= NO_LIGHT_STOPS / 2.0:
        return "down to no light"
    if abs(level) >= max(abs(red), abs(blue)):
        return f"by {level:+.2f} st"
    return f"in colour, red {red:+.2f} st, blue {blue:+.2f} st"


def _step_cause(event: TakeEvent) -> str:
    levels = [each.by_stops[0] for each in event.pins]
    colours = max(max(abs(v) for v in each.by_stops[1:]) for each in event.pins)
    if len(event.pins) == event.of_pins > 1 and max(levels) - min(levels) <= _ALIKE_STOPS:
        return "balance or a light's colour" if colours > max(map(abs, levels)) else "iris or gain"
    if event.of_pins == 1:
        return "iris, a lamp switched, or something moved into it"
    return "a lamp switched, or something moved into it"


def values_of(spot: SpotReading) -> tuple[float | None, float | None, float | None]:
    """(level, red against green, blue against green) of a reading, in stops.

    Parameters
    ----------
    spot:
        Of a pin.

    Returns
    -------
    tuple
        None where there is no light.
    """
    red, green, blue = spot.rgb_stops
    if green is None:
        return spot.stops, None, None
    return (
        spot.stops,
        None if red is None else red - green,
        None if blue is None else blue - green,
    )


class Watch:
    """Follows numbered pins through a take; pure: fed with times and readings.

    Parameters
    ----------
    pins:
        Their numbers.
    tolerance:
        How far they may move unremarked.
    """

    def __init__(self, pins: Iterable[int], tolerance: Tolerance) -> None:
        self.tolerance = tolerance
        self._followers = {pin: Follower(tolerance) for pin in pins}
        self._held: list[tuple[int, int, Event]] = []

    @property
    def pins(self) -> tuple[int, ...]:
        """The numbers of the pins."""
        return tuple(self._followers)

    def follower(self, pin: int) -> Follower:
        """The follower of one pin.

        Parameters
        ----------
        pin:
            Its number.

        Returns
        -------
        Follower
            To be read; the watch feeds it.

        Raises
        ------
        KeyError
            No pin has this number.
        """
        return self._followers[pin]

    @property
    def mood(self) -> Mood:
        """The most urgent of all pins' moods: noisy, changing, learning, steady."""
        order = (Mood.NOISY, Mood.CHANGING, Mood.LEARNING, Mood.STEADY)
        return min((each.mood for each in self._followers.values()), key=order.index)

    @property
    def worst_off_stops(self) -> tuple[int, Three] | None:
        """The pin farthest from its mark in tolerances, and how far; None if all still learn."""
        known = {n: off for n, f in self._followers.items() if (off := f.off_stops) is not None}
        if not known:
            return None
        allowed = self.tolerance.stops

        def beyond(pin: int) -> float:
            return max(abs(v) / float(a) for v, a in zip(known[pin], allowed, strict=True))

        worst = max(known, key=beyond)
        return worst, known[worst]

    def add(
        self,
        time_ns: int,
        readings: Mapping[int, tuple[float | None, float | None, float | None]],
    ) -> list[TakeEvent]:
        """Take the readings of one frame; give back the events that are complete.

        Parameters
        ----------
        time_ns:
            Of the frame, 0 or more; times only go forward.
        readings:
            By number of the pin, as of `values_of`.

        Returns
        -------
        list[TakeEvent]
            Held back for `TOGETHER_NS`, so that what several pins saw is one event.
        """
        for pin, values in readings.items():
            for event in self._followers[pin].add(time_ns, values):
                self._held.append((time_ns, pin, event))
        ripe = bool(self._held) and time_ns - self._held[0][0] >= TOGETHER_NS
        return self._joined() if ripe else []

    def finish(self) -> list[TakeEvent]:
        """What was still held back, at the end of a take."""
        return self._joined()

    def _joined(self) -> list[TakeEvent]:
        out: list[TakeEvent] = []
        while self._held:
            _, _, first = self._held[0]
            same = [each for each in self._held if _together(first, each[2])]
            self._held = [each for each in self._held if each not in same]
            events = [event for _, _, event in same]
            out.append(
                TakeEvent(
                    change=first.change,
                    start_ns=min(event.start_ns for event in events),
                    end_ns=max(event.end_ns for event in events),
                    pins=tuple(
                        PinChange(pin, event.by_stops, event.off_stops)
                        for _, pin, event in sorted(same, key=lambda each: each[1])
                    ),
                    of_pins=len(self._followers),
                    over_gap=first.over_gap,
                )
            )
        return out


def _together(one: Event, other: Event) -> bool:
    if one.change is not other.change:
        return False
    near = abs(one.start_ns - other.start_ns) <= TOGETHER_NS
    return near and one.over_gap is other.over_gap
