"""A feed check made of the codes of what it read: cap, card, clip, chips, and patches."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from firmware.errors import JournalError
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.codes_seen import SeenCodes
from firmware.instruments.feedcheck.feeds_read import reading_of
from firmware.instruments.feedcheck.judged_readings import Judging, judged
from firmware.instruments.grounds import Grounds, GroundsFound
from firmware.instruments.scene import Scene
from overlays.measure.chart.reference import BUILT_IN, ChartReference
from overlays.measure.feedcheck.patch import patch_of
from overlays.measure.feedcheck.readings import What
from overlays.measure.spot.spot import SpotPlace


@dataclass(frozen=True, slots=True)
class PatchMadeOf:
    """A patch: where it lies in which of the scenes, from 0, and which patch of which chart."""

    at: int
    place: SpotPlace
    patch: str
    chart: str


@dataclass(frozen=True, slots=True)
class FeedcheckMadeOf:
    """What was read, each with its scene, in the order in which it was."""

    readings: tuple[tuple[What, int], ...]
    patches: tuple[PatchMadeOf, ...] = ()


MADE_OF = FeedcheckMadeOf


def places(_answer: FeedcheckAnswer) -> tuple[SpotPlace, ...]:
    """No other places of the frame of the mark."""
    return ()


def keep(answer: FeedcheckAnswer) -> Grounds:
    """What an answer is made of."""
    codes = answer.codes
    readings = tuple((what, at) for at, what in enumerate(codes.readings))
    patches = tuple(
        PatchMadeOf(at, place, patch.patch, patch.chart.name)
        for at, each in enumerate(codes.patches, start=len(readings))
        for patch, place in each.patches
    )
    scenes = *codes.readings.values(), *(each.kept for each in codes.patches)
    return Grounds(FeedcheckMadeOf(readings, patches), scenes)


def answer(found: GroundsFound) -> FeedcheckAnswer:
    """The answer of that alone.

    Raises
    ------
    JournalError
        A patch is of no chart that is known.
    """
    made_of, scenes = found.made_of, found.scenes
    read = {what: _at(scenes, at) for what, at in made_of.readings}
    seen = SeenCodes()
    for scene in read.values():
        seen.see(scene)
    patches = tuple(
        patch_of(_at(scenes, each.at).read(each.place), each.patch, _chart(each.chart))
        for each in made_of.patches
    )
    readings = {what: reading_of(what, scene) for what, scene in read.items()}
    scene = found.scene
    made = judged(readings, scene.origin, scene.pin_flags(), Judging(patches=patches))
    return replace(made, suspected=seen.comb)


def _at(scenes: Sequence[Scene], at: int) -> Scene:
    if not 0 <= at < len(scenes):
        raise JournalError("the codes of a reading are not there")
    return scenes[at]


def _chart(name: str) -> ChartReference:
    found = next((each for each in BUILT_IN if each.name == name), None)
    if found is None:
        raise JournalError("a patch is of no chart that is known")
    return found
