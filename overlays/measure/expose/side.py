"""On which side of its target a spot lies: in, over or under, or why that cannot be said."""

from dataclasses import dataclass, field
from enum import Enum

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.expose.off_target import off_target
from overlays.measure.spot.spot import SpotReading
from overlays.signal.quantities import Level, stops
from overlays.wording.numbers import pm_text, stops_text
from overlays.wording.reasons import Bound, Reason

USUAL_WITHIN_STOPS = 1.0 / 3.0
"""The step of camera controls: what is nearer to its target no control brings nearer."""


class Side(Enum):
    """Where a spot lies against its target."""

    IN = "in"
    OVER = "over"
    UNDER = "under"


@dataclass(frozen=True, slots=True)
class Goal:
    """Where a spot should be, and how far from it, in stops of light, still counts as there."""

    target: Level = field(default_factory=lambda: stops(0.0))
    within_stops: float = USUAL_WITHIN_STOPS


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is known of a spot against its goal.

    Attributes
    ----------
    side:
        None where it cannot be said.
    off_stops, pm_stops:
        How far above the target, and its 95 % half width; None where unknown.
    why:
        Why there is no side, in words; empty where there is one.
    bound:
        Which side of the truth `off_stops` lies on where it is no more than a bound.
    """

    side: Side | None = None
    off_stops: float | None = None
    pm_stops: float | None = None
    why: str = ""
    bound: Bound | None = None


def judge(
    spot: SpotReading | None, goal: Goal, yard: Yardstick, before: Side | None = None
) -> Judgement:
    """On which side of a goal a spot lies.

    A side that it was on before is left only where the reading's own ± allows no doubt: it goes out
    once it is off by more than the tolerance and the ± together, and comes in again once it is off
    by less than the tolerance without the ±. A reading at the edge therefore says one thing, and
    noise is never counted as a change of light.

    Parameters
    ----------
    spot:
        What was read; None where nothing could be.
    goal:
        Where it should be.
    yard:
        What it was read with.
    before:
        The side it was on before; None where there was none.

    Returns
    -------
    Judgement
        Without a side where the spot is not read, is only known to be on the wrong side of a bound,
        or is less sure than the tolerance is wide.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[496]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> judge(spot, Goal(stops(0.0)), LOG).side, judge(spot, Goal(stops(1.0)), LOG).side
    (<Side.OVER: 'over'>, <Side.IN: 'in'>)
    """
    if spot is None:
        return Judgement(why=Reason.NOT_READ.words)
    off, pm = off_target(spot, goal.target, yard)
    if off is None:
        reason = spot.unknown if spot.stops is None else Reason.OUT_OF_REACH
        return Judgement(why=(reason or Reason.NO_LIGHT).words)
    # What may be clipped is over whether it is or not, once it reads so.
    is_over = spot.unknown is Reason.PERHAPS_CLIPPED and off > goal.within_stops
    bound = Bound.AT_LEAST if is_over else spot.bound
    if bound is not None:
        return _of_bound(off, bound, goal.within_stops)
    if pm is None:
        return Judgement(None, off, None, (spot.unknown or Reason.PARTLY_CLIPPED).words)
    if pm >= goal.within_stops and abs(off) <= goal.within_stops + pm:
        unsure = f"read to {pm_text(pm, 2)} st, less sure than ±{goal.within_stops:.2f} st"
        return Judgement(None, off, pm, unsure)
    return Judgement(_side(off, pm, goal.within_stops, before), off, pm)


def _of_bound(off: float, bound: Bound, within: float) -> Judgement:
    """Of clipped light it is known that it is as bright or brighter; of light cut off, darker."""
    if bound is Bound.AT_LEAST and off > within:
        return Judgement(Side.OVER, off, None, bound=bound)
    if bound is Bound.AT_MOST and off < -within:
        return Judgement(Side.UNDER, off, None, bound=bound)
    cause = Reason.CLIPPED if bound is Bound.AT_LEAST else Reason.CUT_OFF
    return Judgement(None, off, None, f"{cause.words}: {stops_text(off, None, bound)} st", bound)


def _side(off: float, pm: float, within: float, before: Side | None) -> Side:
    outside = Side.OVER if off > 0.0 else Side.UNDER
    wide = 0.0
    if before is Side.IN:
        wide = pm
    elif before is outside:
        wide = -pm
    return Side.IN if abs(off) <= within + wide else outside
