"""The giant reading as an object, for a run without a screen; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.instruments.target.answer import TargetAnswer


@dataclass(frozen=True, slots=True)
class TargetObject:
    """The answer of the view `target`."""

    feed: FeedObject
    profile: ProfileObject
    target: str = said("where the spot should be")
    within: float = said("how many stops from it still count as there")
    side: str | None = said("in, over or under; null where that cannot be said")
    off: float | None = said("stops above the target; null where unknown")
    off_pm: float | None = said("its half width at 95 %; null where unknown")
    why: str = said("why there is no side; empty where there is one")
    times_out: int = said("how often it went out since it was cleared")
    times_out_at_least: bool = said("whether it went out more often: a mark keeps codes of 32")
    latched: str | None = said("the side it was last out on; null where it never was")
    farthest: float | None = said("stops off the target at most while it was out; null if never")
    warnings: tuple[str, ...] = said("sentences about feed, profile, frame and spot")


def object_of(answer: TargetAnswer) -> TargetObject:
    """The object."""
    judged, past, origin = answer.judged, answer.past, answer.origin
    return TargetObject(
        feed_object(origin),
        profile_object(origin),
        target=str(answer.goal.target),
        within=answer.goal.within_stops,
        side=None if judged.side is None else judged.side.value,
        off=judged.off_stops,
        off_pm=judged.pm_stops,
        why=judged.why,
        times_out=past.count,
        times_out_at_least=past.at_least,
        latched=None if past.latched is None else past.latched.value,
        farthest=past.farthest_stops,
        warnings=answer.warnings,
    )
