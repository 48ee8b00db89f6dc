"""Watch: all pins of a take together. One event for what several pins saw at once.

What the followers of single pins tell is weighed against what befell the picture: behind a cut no
lamp was switched, at the clip and in the dark no light can be followed, and what swings evenly is
no cloud.
"""

from collections.abc import Iterable, Mapping

from overlays.measure.spot.spot import CLIPPED_SHARE, SpotReading
from overlays.measure.spot.stops import stops_of
from overlays.measure.watch.befallen import Befallen, PinEvent
from overlays.measure.watch.change import Happening, Mood, Three, Tolerance
from overlays.measure.watch.cut import Cut
from overlays.measure.watch.events import PinChange, TakeEvent
from overlays.measure.watch.follower import GAP_S, Follower, Reading
from overlays.measure.watch.pin_values import values_of_stops
from overlays.measure.watch.worth import Worth

TOGETHER_NS = 600_000_000
"""Changes of a kind that begin within this are one change."""
_DARK_SHARE = 0.5
"""Share of a pin's pixels below the floor from which on it has no light that can be followed."""
_SLOW = 3.0
"""A feed of few frames is silent for so many of its steps before that is a gap."""


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

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> pin = read_spot(grey_frame([[496]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> [round(value, 2) for value in values_of(pin)]  # a stop over mid-grey, and grey
    [1.0, 0.0, 0.0]
    """
    if not spot.cut_off:
        return values_of_stops(spot.stops, spot.rgb_stops)
    # Its stops are a bound, which hangs on what lies around the spot too; means are followed.
    level = None if spot.stops is None else stops_of(spot.luminance)
    red, green, blue = (
        None if bound is None else stops_of(light)
        for bound, light in zip(spot.rgb_stops, spot.rgb_linear, strict=True)
    )
    return values_of_stops(level, (red, green, blue))


def condition_of(spot: SpotReading) -> Worth:
    """Whether the light of a pin can be followed by a reading.

    Parameters
    ----------
    spot:
        Of a pin.

    Returns
    -------
    Worth
        Clipped before dark.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 1023, 64]], cell=16)
    >>> spots = (read_spot(frame, LOG, SpotPlace(column, 8, 8)) for column in (8, 24, 40))
    >>> [condition_of(spot).name for spot in spots]
    ['PLAIN', 'CLIPPED', 'DARK']
    """
    if spot.clipped > CLIPPED_SHARE:
        return Worth.CLIPPED
    dark = spot.stops is None or spot.below_floor > _DARK_SHARE
    return Worth.DARK if dark else Worth.PLAIN


class Watch:
    """Follows numbered pins through a take; pure: fed with times and readings.

    Parameters
    ----------
    pins:
        Their numbers.
    tolerance:
        How far they may move unremarked.

    Examples
    --------
    >>> watch, events = Watch([1, 2], Tolerance(level_stops=0.1)), []
    >>> for number in range(25 * 30):  # half a stop down on both after twenty seconds
    ...     level = 0.0 if number < 25 * 20 else -0.5
    ...     events += watch.add(number * 40_000_000, dict.fromkeys((1, 2), (level, 0.0, 0.0)))
    >>> [event.words for event in events], watch.worst_off_stops[1][0]
    (['every pin stepped by -0.50 st: iris or gain'], -0.5)
    """

    def __init__(self, pins: Iterable[int], tolerance: Tolerance) -> None:
        self.tolerance = tolerance
        self._followers = {pin: Follower(tolerance) for pin in pins}
        self._befallen = {pin: Befallen(tolerance) for pin in self._followers}
        self._held: list[tuple[int, int, PinEvent]] = []
        self._others: list[TakeEvent] = []
        self._last_ns: int | None = None
        self._step_ns = 0.0

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

        Examples
        --------
        >>> watch = Watch([1], Tolerance())
        >>> watch.follower(1).reference is None, watch.off_stops(1)  # nothing is learnt yet
        (True, None)
        """
        return self._followers[pin]

    def made_of(self, pin: int) -> frozenset[int]:
        """Times of the frames that what is told of a pin is made of, the newest ones apart.

        Parameters
        ----------
        pin:
            Its number.

        Returns
        -------
        frozenset of int
            Nanoseconds; of what is still held back too.

        Examples
        --------
        >>> watch = Watch([1], Tolerance())
        >>> for number in range(60):
        ...     _ = watch.add(number * 40_000_000, {1: (0.0, 0.0, 0.0)})
        >>> 0 < len(watch.made_of(1)) <= 6  # the readings in the middle of a level
        True
        """
        held = [told.event.means for _, which, told in self._held if which == pin]
        known = [each.times for each in held if each is not None]
        return self._followers[pin].made_of.union(*known)

    def mood_of(self, pin: int) -> Mood:
        """What is known of one pin: first whether it can be followed at all.

        Parameters
        ----------
        pin:
            Its number.

        Returns
        -------
        Mood
            That of its follower where it can.

        Examples
        --------
        >>> watch = Watch([1], Tolerance())
        >>> watch.mood_of(1).value
        'learning the reference'
        """
        condition = self._befallen[pin].condition
        if condition is Worth.DARK:
            return Mood.DARK
        return Mood.CLIPPED if condition is Worth.CLIPPED else self._followers[pin].mood

    def off_stops(self, pin: int) -> Three | None:
        """How far a pin is off its reference.

        Parameters
        ----------
        pin:
            Its number.

        Returns
        -------
        tuple[float, float, float] | None
            Stops: level, red and blue against green; None where it cannot be followed, at first
            too.

        Examples
        --------
        >>> watch = Watch([1], Tolerance())
        >>> for number in range(25 * 10):
        ...     _ = watch.add(number * 40_000_000, {1: (0.0 if number < 225 else 0.05, 0.0, 0.0)})
        >>> [round(off, 3) for off in watch.off_stops(1)]
        [0.05, 0.0, 0.0]
        """
        if self._befallen[pin].condition is not Worth.PLAIN:
            return None
        return self._followers[pin].off_stops

    @property
    def mood(self) -> Mood:
        """The most urgent of all pins' moods."""
        order = (Mood.NOISY, Mood.CHANGING, Mood.CLIPPED, Mood.DARK, Mood.LEARNING, Mood.STEADY)
        return min(map(self.mood_of, self._followers), key=order.index)

    @property
    def worst_off_stops(self) -> tuple[int, Three] | None:
        """The pin farthest from its reference in tolerances, and how far; None where unknown."""
        known = {pin: off for pin in self.pins if (off := self.off_stops(pin)) is not None}
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
        readings: Mapping[int, Reading],
        conditions: Mapping[int, Worth] | None = None,
        cut: Cut | None = None,
    ) -> list[TakeEvent]:
        """Take the readings of one frame; give back the events that are complete.

        Parameters
        ----------
        time_ns:
            Of the frame, 0 or more; times only go forward.
        readings:
            By number of the pin, as of `values_of`.
        conditions:
            By number of the pin, as of `condition_of`; without them all can be followed.
        cut:
            That was found with this frame; mostly None.

        Returns
        -------
        list[TakeEvent]
            Held back for `TOGETHER_NS`, so that what several pins saw is one event.

        Examples
        --------
        >>> watch = Watch([1], Tolerance())
        >>> watch.add(0, {1: (0.0, 0.0, 0.0)}) + watch.add(40_000_000, {1: (0.0, 0.0, 0.0)})
        []
        >>> [event.words for event in watch.add(3_040_000_000, {1: (0.0, 0.0, 0.0)})]
        ['no frames for 3.0 s: what the light did then was not seen']
        """
        self._look_out_for_gap(time_ns)
        if cut is not None:
            self._others.append(self._of_picture(Happening.CUT, cut.at_ns, cut.at_ns, cut))
        for pin, values in readings.items():
            told = self._followers[pin].add(time_ns, values)
            seen = Worth.PLAIN if conditions is None else conditions[pin]
            for event in self._befallen[pin].weigh(
                time_ns, values[0], seen, told, self._followers[pin], cut
            ):
                self._held.append((time_ns, pin, event))
        ripe = bool(self._held) and time_ns - self._held[0][0] >= TOGETHER_NS
        return self._joined() if ripe or self._others else []

    def finish(self) -> list[TakeEvent]:
        """What was still held back, at the end of a take."""
        return self._joined()

    def _look_out_for_gap(self, time_ns: int) -> None:
        last_ns, self._last_ns = self._last_ns, time_ns
        if last_ns is None:
            return
        step_ns = time_ns - last_ns
        if not self._step_ns:
            self._step_ns = float(step_ns)
        elif step_ns > max(GAP_S * 1e9, _SLOW * self._step_ns):
            self._others.append(self._of_picture(Happening.GAP, last_ns, time_ns))
            self._step_ns *= 1.5  # of a feed that became slow, only the first are gaps
        else:
            self._step_ns += 0.1 * (step_ns - self._step_ns)

    def _of_picture(
        self, change: Happening, start_ns: int, end_ns: int, cut: Cut | None = None
    ) -> TakeEvent:
        to = None if cut is None else cut.to
        return TakeEvent(change, start_ns, end_ns, (), len(self._followers), cut=to)

    def _joined(self) -> list[TakeEvent]:
        out, self._others = self._others, []
        while self._held:
            _, _, first = self._held[0]
            same = [each for each in self._held if _together(first, each[2])]
            self._held = [each for each in self._held if each not in same]
            events = [event.event for _, _, event in same]
            out.append(
                TakeEvent(
                    change=first.change,
                    start_ns=min(event.start_ns for event in events),
                    end_ns=max(event.end_ns for event in events),
                    pins=tuple(
                        PinChange(pin, told.event.by_stops, told.event.off_stops, told.event.means)
                        for _, pin, told in sorted(same, key=lambda each: each[1])
                    ),
                    of_pins=len(self._followers),
                    over_gap=first.event.over_gap,
                    period_s=first.period_s,
                )
            )
        return sorted(out, key=lambda event: event.start_ns)


def _together(one: PinEvent, other: PinEvent) -> bool:
    if one.change is not other.change:
        return False
    near = abs(one.event.start_ns - other.event.start_ns) <= TOGETHER_NS
    return near and one.event.over_gap is other.event.over_gap
