"""What a follower has told so far: its reference, the level last told of, and a drift that goes on.

Values of this module never change: each event makes a new one.
"""

from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.watch.change import Between, Change, Event, FloatArray, MadeOf, three

Made = tuple[MadeOf | None, MadeOf | None]
"""Of which frames two levels are the means: the one before and the one after."""

GOES_ON_S = 8.0
"""What stays within this after a drift was told of may be a part of that drift."""
SETTLED_S = 5.0
"""A drift is over when the level stood for this long."""
_FASTER = 5.0
"""What moves faster than the drift by this factor is no part of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Drift:
    """A drift that was told of and may go on.

    Attributes
    ----------
    told_ns:
        When it last was seen to go on.
    a_second:
        (3,) float64, how fast it went, in stops a second, without sign.
    heading:
        (3,) float64, sign of its direction; 0 for a quantity that does not take part.
    """

    told_ns: int
    a_second: FloatArray
    heading: FloatArray

    def is_part(self, time_ns: int, which: int, speed: float) -> bool:
        """Whether a change is slow and soon enough to be a part of this drift, either way.

        Parameters
        ----------
        time_ns:
            When the change was judged.
        which:
            The quantity that changed most: 0 level, 1 red, 2 blue.
        speed:
            How fast it changed, in stops a second, without sign.

        Returns
        -------
        bool
            No, where it comes late or goes much faster.

        Examples
        --------
        >>> slow = Drift(0, a_second=np.array([0.01, 0.0, 0.0]), heading=np.array([1.0, 0.0, 0.0]))
        >>> slow.is_part(2_000_000_000, 0, speed=0.02), slow.is_part(2_000_000_000, 0, speed=1.0)
        (True, False)
        """
        soon = time_ns - self.told_ns < GOES_ON_S * 1e9
        return soon and speed < _FASTER * float(self.a_second[which])


@dataclass(frozen=True, slots=True, eq=False)
class ToldSoFar:
    """What has been told of one pin.

    Attributes
    ----------
    reference:
        (3,) float64, the level that was learnt first, in stops; it never changes.
    level:
        (3,) float64, the level that was last told of, in stops: what further drifts count from.
    drift:
        The drift that goes on; None while there is none.
    reference_of, level_of:
        Of which frames they are the means; None where that was not noted.
    """

    reference: FloatArray
    level: FloatArray
    drift: Drift | None = None
    reference_of: MadeOf | None = None
    level_of: MadeOf | None = None

    def stepped(
        self,
        before: FloatArray,
        level: FloatArray,
        start_ns: int,
        end_ns: int,
        of: Made = (None, None),
    ) -> tuple["ToldSoFar", Event]:
        """Tell of a step from one level to another, both (3,) in stops; it ends a drift.

        Parameters
        ----------
        before:
            float64, the quiet level before the step.
        level:
            float64, the level after it.
        start_ns:
            When half of it was done.
        end_ns:
            When it was judged.
        of:
            Of which frames they are the means.

        Returns
        -------
        tuple
            What is told from now on, and the event.

        Examples
        --------
        >>> so_far = ToldSoFar(reference=np.zeros(3), level=np.zeros(3))
        >>> so_far, event = so_far.stepped(np.zeros(3), np.array([-0.5, 0.0, 0.0]), 0, 40_000_000)
        >>> event.change.value, event.by_stops[0], so_far.level.tolist()
        ('step', -0.5, [-0.5, 0.0, 0.0])
        """
        event = self._event(Change.STEP, (start_ns, end_ns), before, level, of)
        return replace(self, level=level, drift=None, level_of=of[1]), event

    def came_back(
        self, level: FloatArray, start_ns: int, end_ns: int, of: MadeOf | None = None
    ) -> tuple["ToldSoFar", Event]:
        """Tell of another level, (3,) in stops, after a gap in the feed.

        Parameters
        ----------
        level:
            float64, what was learnt after the gap.
        start_ns:
            The last frame before the gap.
        end_ns:
            When the level was learnt.
        of:
            Of which frames it is the mean.

        Returns
        -------
        tuple
            What is told from now on, and the event.

        Examples
        --------
        >>> so_far = ToldSoFar(reference=np.zeros(3), level=np.zeros(3))
        >>> _, event = so_far.came_back(np.array([0.5, 0.0, 0.0]), 0, 2_000_000_000)
        >>> event.by_stops[0], event.over_gap
        (0.5, True)
        """
        made = self.level_of, of
        event = self._event(Change.STEP, (start_ns, end_ns), self.level, level, made, over_gap=True)
        return replace(self, level=level, level_of=of), event

    def drifted(
        self,
        level: FloatArray,
        start_ns: int,
        time_ns: int,
        allowed: FloatArray,
        of: MadeOf | None = None,
    ) -> tuple["ToldSoFar", Event]:
        """Tell of a drift to a level, (3,) in stops; what goes on the same way is then told of.

        Parameters
        ----------
        level:
            (3,) where it got to so far.
        start_ns, time_ns:
            When it began, and now.
        allowed:
            (3,) tolerances in stops.
        of:
            Of which frames the level is the mean.

        Returns
        -------
        tuple
            What is told from now on, and the event.

        Examples
        --------
        >>> so_far = ToldSoFar(reference=np.zeros(3), level=np.zeros(3))
        >>> allowed, level = np.array([0.1, 0.1, 0.1]), np.array([0.2, 0.0, 0.0])
        >>> so_far, event = so_far.drifted(level, 0, 10_000_000_000, allowed)
        >>> event.by_stops[0], float(so_far.drift.a_second[0])  # 0.2 stop in ten seconds
        (0.2, 0.02)
        """
        made = self.level_of, of
        event = self._event(Change.DRIFT, (start_ns, time_ns), self.level, level, made)
        by = np.array(event.by_stops)
        drift = Drift(
            told_ns=time_ns,
            a_second=np.abs(by) / max((time_ns - start_ns) / 1e9, 0.1),
            heading=np.where(np.abs(by) > 0.5 * allowed, np.sign(by), 0.0),
        )
        return replace(self, level=level, drift=drift, level_of=of), event

    def passed(
        self,
        level: FloatArray,
        farthest: FloatArray,
        start_ns: int,
        end_ns: int,
        of: Made = (None, None),
    ) -> Event:
        """Tell of something that passed: off a quiet level, as far as a reading, (3,) in stops.

        Parameters
        ----------
        level:
            float64, the quiet level.
        farthest:
            float64, the reading that was farthest away.
        start_ns:
            When it left the level.
        end_ns:
            When it was back; an earlier time than it left counts as that.
        of:
            Of which frames level and reading are the means.

        Returns
        -------
        Event
            Nothing else is told differently from now on.

        Examples
        --------
        >>> so_far = ToldSoFar(reference=np.zeros(3), level=np.zeros(3))
        >>> event = so_far.passed(np.zeros(3), np.array([-3.0, 0.0, 0.0]), 0, 1_000_000_000)
        >>> event.by_stops[0], event.off_stops[0]  # three stops darker for a second
        (-3.0, 0.0)
        """
        means = self._between(level, farthest, of)
        by, off = means.by_stops, means.left_stops
        return Event(Change.PASSING, start_ns, max(end_ns, start_ns), by, off, means=means)

    def following(self, level: FloatArray, of: MadeOf | None = None) -> "ToldSoFar":
        """Count what goes on the way of the drift as told of; what turns round is not.

        Parameters
        ----------
        level:
            (3,) the quiet level now, in stops.
        of:
            Of which frames it is the mean.

        Returns
        -------
        ToldSoFar
            The same where there is no drift.

        Examples
        --------
        >>> up = Drift(0, a_second=np.array([0.1, 0.0, 0.0]), heading=np.array([1.0, 0.0, 0.0]))
        >>> so_far = ToldSoFar(np.zeros(3), level=np.array([0.2, 0.0, 0.0]), drift=up)
        >>> [float(so_far.following(np.array([on, 0.0, 0.0])).level[0]) for on in (0.3, 0.1)]
        [0.3, 0.2]
        """
        if self.drift is None:
            return self
        onward = (level - self.level) * self.drift.heading > 0.0
        made = None
        if of is not None and self.level_of is not None:
            pairs = zip(onward, of.three, self.level_of.three, strict=True)
            made = MadeOf(*(new if moved else old for moved, new, old in pairs))
        return replace(self, level=np.where(onward, level, self.level), level_of=made)

    def going_on(self, level: FloatArray, time_ns: int, of: MadeOf | None = None) -> "ToldSoFar":
        """As `following`, for a drift that was seen to go on at this time.

        Parameters
        ----------
        level:
            float64, the quiet level now, in stops.
        time_ns:
            Now.
        of:
            Of which frames it is the mean.

        Returns
        -------
        ToldSoFar
            The same where there is no drift.

        Examples
        --------
        >>> up = Drift(0, a_second=np.array([0.1, 0.0, 0.0]), heading=np.array([1.0, 0.0, 0.0]))
        >>> so_far = ToldSoFar(np.zeros(3), level=np.array([0.2, 0.0, 0.0]), drift=up)
        >>> on = so_far.going_on(np.array([0.3, 0.0, 0.0]), time_ns=5_000_000_000)
        >>> float(on.level[0]), on.drift.told_ns, on.settled().drift
        (0.3, 5000000000, None)
        """
        if self.drift is None:
            return self
        seen = replace(self, drift=replace(self.drift, told_ns=time_ns))
        return seen.following(level, of)

    def settled(self) -> "ToldSoFar":
        """The drift is over."""
        return replace(self, drift=None)

    def _event(
        self,
        change: Change,
        when_ns: tuple[int, int],
        before: FloatArray,
        after: FloatArray,
        of: Made,
        *,
        over_gap: bool = False,
    ) -> Event:
        means = self._between(before, after, of)
        return Event(change, *when_ns, means.by_stops, means.off_stops, over_gap, means)

    def _between(self, before: FloatArray, after: FloatArray, of: Made) -> Between:
        return Between(
            three(self.reference), three(before), three(after), self.reference_of, of[0], of[1]
        )
