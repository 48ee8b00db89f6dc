"""The giant reading found again: its side by the codes of the mark, its past by those of the past.

Loaded where a mark is made and where it is verified, by nothing that is on a screen.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from firmware.answers.cleaner import clean
from firmware.instruments.scene import Scene
from firmware.instruments.target.answer import TargetAnswer
from firmware.instruments.target.happened import MOST_OUT
from overlays.measure.expose.off_target import off_target
from overlays.measure.expose.side import Side, judge


@dataclass(frozen=True, slots=True)
class OutDecided:
    """A time out: the side before it, its own, its ± as frames told it, and where its codes are.

    `at` counts the scenes that were kept, from 0; None where it is none of them.
    """

    before: Side | None
    side: Side
    pm_stops: float | None
    at: int | None


@dataclass(frozen=True, slots=True)
class TargetDecided:
    """What the past of a mark is made of.

    Attributes
    ----------
    side:
        The last one that was known.
    outs:
        The newest times out, oldest first.
    farthest:
        The scene that was farthest; None where there is none.
    """

    side: Side | None
    outs: tuple[OutDecided, ...] = ()
    farthest: int | None = None


DECIDED = TargetDecided


def decided(answer: TargetAnswer, _scene: Scene) -> TargetDecided:
    """What an answer's past is made of."""
    places = {id(kept): at for at, kept in enumerate(answer.happened.places)}
    outs = tuple(
        OutDecided(each.before, each.side, each.pm_stops, places.get(id(each.kept)))
        for each in answer.happened.outs
    )
    return TargetDecided(answer.past.side, outs, places.get(id(answer.happened.farthest)))


def answer_again(
    stored: Mapping[str, Any], made_of: TargetDecided, scene: Scene, others: Sequence[Scene]
) -> dict[str, Any]:
    """What of the object of an answer can be found again, as it then is."""
    goal = scene.profile.goal
    judged = judge(scene.spot, goal, scene.yard, made_of.side)
    found: dict[str, Any] = {
        "target": str(goal.target),
        "within": goal.within_stops,
        "side": judged.side,
        "off": judged.off_stops,
        "off_pm": judged.pm_stops,
        "why": judged.why,
    }
    outs = made_of.outs
    if stored.get("times_out") == 0 or _all_there(stored, made_of, others):
        found["times_out"] = sum(_holds(each, others) for each in outs)
        found["latched"] = outs[-1].side if outs else None
    farthest = made_of.farthest
    if farthest is not None and 0 <= farthest < len(others):
        found["farthest"] = _off(others[farthest])
    cleaned: dict[str, Any] = clean(found)
    return cleaned


def _all_there(stored: Mapping[str, Any], made_of: TargetDecided, others: Sequence[Scene]) -> bool:
    """Whether every time out has its codes: the count is then theirs, else the seal's alone."""
    outs = made_of.outs
    has_codes = all(each.at is not None and 0 <= each.at < len(others) for each in outs)
    # More than are kept, and nothing else, may be counted without codes.
    count = stored.get("times_out")
    is_more = len(outs) == MOST_OUT and isinstance(count, int) and count > MOST_OUT
    return has_codes and not is_more


def _holds(out: OutDecided, others: Sequence[Scene]) -> bool:
    """Whether its codes are out on its side, judged by the ± that it was judged by."""
    assert out.at is not None  # looked at before
    scene = others[out.at]
    if scene.spot is None or out.before in {None, out.side}:
        return False
    spot = replace(scene.spot, stops_pm=out.pm_stops)
    return judge(spot, scene.profile.goal, scene.yard, out.before).side is out.side


def _off(scene: Scene) -> float | None:
    if scene.spot is None:
        return None
    return off_target(scene.spot, scene.profile.goal.target, scene.yard)[0]


def by_seal(stored: Mapping[str, Any], made_of: TargetDecided) -> tuple[str, ...]:
    """Numbers whose codes are not there: of more times out than are kept, of a frame too late."""
    found = []
    outs = made_of.outs
    if stored.get("times_out") != len(outs) or any(each.at is None for each in outs):
        found.append("times_out")
    if stored.get("farthest") is not None and made_of.farthest is None:
        found.append("farthest")
    return tuple(found)
