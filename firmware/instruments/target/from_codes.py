"""The giant reading made of what a mark keeps: its side and its past, each by its own codes.

Loaded where a mark is made and where it is verified, by nothing that is on a screen.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from firmware.instruments.grounds import Grounds, GroundsFound
from firmware.instruments.scene import Scene
from firmware.instruments.target.answer import TargetAnswer
from firmware.instruments.target.happened import Happened
from overlays.measure.expose.excursions import Excursions, bound_outwards
from overlays.measure.expose.off_target import off_target
from overlays.measure.expose.side import Goal, Side, judge
from overlays.measure.spot.spot import SpotPlace


@dataclass(frozen=True, slots=True)
class WasOut:
    """A time out: the side before it, its own, and which of the scenes it is, from 0."""

    before: Side
    side: Side
    at: int


@dataclass(frozen=True, slots=True)
class TargetMadeOf:
    """What the past of a mark is made of.

    Attributes
    ----------
    side:
        The last one that was known.
    outs:
        The newest times out whose codes are there, oldest first.
    more:
        Whether it went out more often than that.
    farthest:
        The scene that was farthest, from 0; None where it is not there.
    """

    side: Side | None
    outs: tuple[WasOut, ...] = ()
    more: bool = False
    farthest: int | None = None


MADE_OF = TargetMadeOf


def places(_answer: TargetAnswer) -> tuple[SpotPlace, ...]:
    """No other places of the frame of the mark."""
    return ()


def keep(answer: TargetAnswer) -> Grounds:
    """What an answer is made of."""
    happened = answer.happened
    places = {id(kept): at for at, kept in enumerate(happened.places)}
    outs = tuple(
        WasOut(each.before, each.side, places[id(each.kept)])
        for each in happened.outs
        if each.kept is not None and each.before is not None
    )
    more = answer.past.count > len(outs)
    made_of = TargetMadeOf(answer.past.side, outs, more, places.get(id(happened.farthest)))
    return Grounds(made_of, happened.places)


def answer(found: GroundsFound) -> TargetAnswer:
    """The answer of that alone."""
    made_of, scene = found.made_of, found.scene
    goal = scene.profile.goal
    held = [each for each in made_of.outs if _is_out(each, found.scenes)]
    farthest = _scene(found.scenes, made_of.farthest)
    off, pm = (None, None) if farthest is None else _off(farthest)
    bound = None
    if off is not None and _any_bound(made_of, found.scenes, goal):
        pm, bound = None, bound_outwards(off)
    past = Excursions(
        made_of.side,
        len(held),
        held[-1].side if held else None,
        off,
        pm,
        at_least=made_of.more,
        farthest_bound=bound,
    )
    judged = judge(scene.spot, goal, scene.yard, made_of.side)
    return TargetAnswer(scene.origin, goal, judged, Happened(past), scene.spot)


def _scene(scenes: Sequence[Scene], at: int | None) -> Scene | None:
    return scenes[at] if at is not None and 0 <= at < len(scenes) else None


def _any_bound(made_of: TargetMadeOf, scenes: Sequence[Scene], goal: Goal) -> bool:
    """Whether of any of its times out only a bound is known, as `Excursions` keeps it."""
    at = [each.at for each in made_of.outs]
    kept = [_scene(scenes, each) for each in (*at, made_of.farthest)]
    out = [judge(each.spot, goal, each.yard) for each in kept if each is not None]
    return any(each.side is not None and each.bound is not None for each in out)


def _is_out(out: WasOut, scenes: Sequence[Scene]) -> bool:
    """Whether its codes lie beyond the tolerance on its side; that they did for long enough, no."""
    scene = _scene(scenes, out.at)
    if scene is None or out.before is out.side:
        return False
    off, goal = _off(scene)[0], scene.profile.goal
    return off is not None and _beyond(off, goal) is out.side


def _beyond(off_stops: float, goal: Goal) -> Side | None:
    """The side beyond the tolerance; None within it, where nothing is out, whatever a row says."""
    if abs(off_stops) <= goal.within_stops:
        return None
    return Side.OVER if off_stops > 0.0 else Side.UNDER


def _off(scene: Scene) -> tuple[float | None, float | None]:
    if scene.spot is None:
        return None, None
    off, pm = off_target(scene.spot, scene.profile.goal.target, scene.yard)
    return off, None if scene.spot.bound is not None else pm
