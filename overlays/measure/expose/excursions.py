"""How often a spot has left its band, and how far: counted on sides that noise does not change."""

from dataclasses import dataclass, replace

from overlays.measure.expose.side import Judgement, Side


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
        off, farthest = judged.off_stops, made.farthest_stops or 0.0
        if not made.is_out or off is None or abs(off) <= abs(farthest):
            return made
        return replace(made, farthest_stops=off, farthest_pm=judged.pm_stops)

    def cleared(self) -> "Excursions":
        """Nothing has happened yet; it is still on the side it is on."""
        return Excursions(self.side, since_ns=self.since_ns)

    def elsewhere(self) -> "Excursions":
        """The spot lies elsewhere, or is read otherwise: what happened stays, its side does not."""
        return replace(self, side=None, is_out=False)
