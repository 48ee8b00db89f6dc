"""How often a spot has left its band, and how far: counted on sides that noise does not change."""

from dataclasses import dataclass, replace

from overlays.measure.expose.side import Judgement, Side
from overlays.wording.reasons import Bound


@dataclass(frozen=True, slots=True)
class Excursions:
    """What has happened since it was last cleared.

    Attributes
    ----------
    side:
        The last one that was known; a reading that is away for a while does not make it unknown.
    count:
        How often the spot went out of its band.
    latched:
        The side it was on when it last was out; None where it never was.
    farthest_stops, farthest_pm:
        Its largest distance from the target while it was out after it had been in, and the half
        width of that; None where it never was out, or where it is only a bound.
    is_out:
        Whether it is out now, after it had been in.
    since_ns:
        When it came to the side it is on.
    farthest_bound:
        Whether `farthest_stops` is no more than a bound: it was farther out than it could be read.
    at_least:
        Whether it went out more often than `count` says, since no more is known of it.

    Examples
    --------
    >>> was = Excursions(Side.OVER, count=2, latched=Side.OVER)
    >>> was.cleared().count, was.cleared().side, was.elsewhere().count, was.elsewhere().side
    (0, <Side.OVER: 'over'>, 2, None)
    """

    side: Side | None = None
    count: int = 0
    latched: Side | None = None
    farthest_stops: float | None = None
    farthest_pm: float | None = None
    is_out: bool = False
    since_ns: int = 0
    at_least: bool = False
    farthest_bound: Bound | None = None

    def after(self, judged: Judgement, now_ns: int) -> "Excursions":
        """What has happened once another reading was judged.

        Parameters
        ----------
        judged:
            With `side` as the side before.
        now_ns:
            When.

        Returns
        -------
        Excursions
            The same where nothing can be said of the reading.

        Examples
        --------
        >>> before = Excursions().after(Judgement(Side.IN, 0.0, 0.02), now_ns=0)
        >>> gone = before.after(Judgement(Side.OVER, 0.8, 0.02), now_ns=40_000_000)
        >>> gone.count, gone.farthest_stops, gone.is_out
        (1, 0.8, True)
        """
        side = judged.side
        if side is None:
            return self
        made = self if side is self.side else replace(self, side=side, since_ns=now_ns)
        if side is Side.IN:
            return replace(made, is_out=False) if made.is_out else made
        leaves = self.side is Side.IN or (self.is_out and self.side is not side)
        if leaves:
            made = replace(made, count=made.count + 1, latched=side, is_out=True)
        off = judged.off_stops
        if not made.is_out or off is None:
            return made
        return _as_far_as(made, off, judged)

    def cleared(self) -> "Excursions":
        """Nothing has happened yet; it is still on the side it is on."""
        return Excursions(self.side, since_ns=self.since_ns)

    def elsewhere(self) -> "Excursions":
        """The spot lies elsewhere, or is read otherwise: what happened stays, its side does not."""
        return replace(self, side=None, is_out=False)


def _as_far_as(past: Excursions, off: float, judged: Judgement) -> Excursions:
    """With the farthest of before and of now.

    Once a reading was a bound nobody knows how far out it was: it stays "at least".
    """
    most, pm = past.farthest_stops, past.farthest_pm
    if most is None or abs(off) > abs(most):
        most, pm = off, judged.pm_stops
    is_bound = judged.bound is not None or past.farthest_bound is not None
    bound = bound_outwards(most) if is_bound else None
    if (most, bound) == (past.farthest_stops, past.farthest_bound):
        return past
    pm = None if is_bound else pm
    return replace(past, farthest_stops=most, farthest_pm=pm, farthest_bound=bound)


def bound_outwards(off_stops: float) -> Bound:
    """The bound of a distance from the target that may be larger.

    Parameters
    ----------
    off_stops:
        Stops above the target.

    Returns
    -------
    Bound
        Above it "at least", below it "at most".

    Examples
    --------
    >>> bound_outwards(2.7), bound_outwards(-3.0)
    (<Bound.AT_LEAST: 'at least'>, <Bound.AT_MOST: 'at most'>)
    """
    return Bound.AT_LEAST if off_stops > 0.0 else Bound.AT_MOST
