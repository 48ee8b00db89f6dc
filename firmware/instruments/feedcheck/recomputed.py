"""A feed check found again by its readings: means of codes, and how many samples lay on each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from firmware.answers.cleaner import clean
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.judged_readings import judged
from firmware.instruments.feedcheck.object import object_of
from firmware.instruments.scene import Scene
from overlays.draw.moment.layers import PinFlags
from overlays.measure.feedcheck.readings import CodeReading, What

OF_HYPOTHESIS = ("residual_codes", "beyond_codes", "probability", "possible")


@dataclass(frozen=True, slots=True)
class FeedcheckDecided:
    """What was read so far."""

    readings: dict[What, CodeReading]


DECIDED = FeedcheckDecided


def decided(answer: FeedcheckAnswer, _scene: Scene) -> FeedcheckDecided:
    """What an answer's numbers are made of."""
    return FeedcheckDecided(dict(answer.readings))


def answer_again(
    stored: Mapping[str, Any], made_of: FeedcheckDecided, scene: Scene, _others: Sequence[Scene]
) -> dict[str, Any]:
    """What of the object of an answer can be found again, as it then is."""
    answer = judged(made_of.readings, scene.origin, PinFlags(()))
    if answer.check is None:
        return {}
    found = clean(object_of(answer))
    again = {
        "readings": found["readings"],
        "hypotheses": [{key: each[key] for key in OF_HYPOTHESIS} for each in found["hypotheses"]],
    }
    # Which name it costs to read by, patches may have decided; those are not kept.
    return again if stored.get("patches") else again | {"costs": found["costs"]}


def by_seal(stored: Mapping[str, Any], _made_of: FeedcheckDecided) -> tuple[str, ...]:
    """Numbers that no reading gives again."""
    return ("costs",) if stored.get("patches") and stored.get("costs") else ()
