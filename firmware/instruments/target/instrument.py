"""The giant reading as an instrument: the view `target`.

It goes on in every view, so that what happened while another one was looked at is not missed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from firmware.actions import Press
from firmware.answers.table import Line
from firmware.instruments.contract import Around, Instrument
from firmware.instruments.desk import Desk
from firmware.instruments.kept_places import KeptPlaces
from firmware.instruments.offers import Offer, Offers
from firmware.instruments.scene import Scene
from firmware.instruments.target.answer import TargetAnswer
from firmware.instruments.target.happened import Happened
from firmware.instruments.target.report import CLEARS, target_report
from firmware.profiles.model import Profile
from overlays.draw.layout.views import Arrangement, Over, View
from overlays.draw.moment.report import Report
from overlays.measure.expose.side import judge

TARGET = View("target", Arrangement.NUMBER, Over.NOTHING, once=("reading",))


@dataclass(frozen=True, slots=True)
class TargetSettings:
    """How often what has happened was cleared."""

    cleared: int = 0


@dataclass(slots=True)
class TargetMemory:
    """What has happened, for which spot, and how often it was cleared."""

    happened: Happened = field(default_factory=Happened)
    key: object = None
    cleared: int = 0


class TargetInstrument(Instrument[TargetSettings, TargetMemory, TargetAnswer]):
    """In, over or under, and how often it was out."""

    name = "target"
    views = (TARGET,)
    clears = frozenset({Press.STRIPES, Press.DISMISS})

    def settings(self, profile: Profile, rate: float) -> TargetSettings:
        """Nothing has happened."""
        return TargetSettings()

    def pressed(
        self, settings: TargetSettings, press: Press, around: Around
    ) -> tuple[TargetSettings, Desk] | None:
        """The press for stripes, which it has none of, clears what has happened."""
        if press not in self.clears:
            return None
        return replace(settings, cleared=settings.cleared + 1), around.desk

    def figure(self, answer: TargetAnswer) -> str:
        """In, over or under; empty where that cannot be said."""
        side = answer.judged.side
        return "" if side is None else side.value

    def offers(self, settings: TargetSettings) -> Offers:
        """To clear."""
        return Offers((Offer(CLEARS, Press.STRIPES),), turned="", chosen="")

    def memory(self) -> TargetMemory:
        """Nothing has happened."""
        return TargetMemory()

    def follow(
        self, scene: Scene, settings: TargetSettings, memory: TargetMemory, *, in_view: bool
    ) -> None:
        """Judge each reading against the one before."""
        happened, goal = memory.happened, scene.profile.goal
        key = (goal, scene.place, scene.read_with)
        if memory.key is not None and key != memory.key:
            happened = happened.elsewhere()
        if settings.cleared != memory.cleared:
            happened = happened.cleared()
        judged = judge(scene.spot, goal, scene.yard, happened.past.side)
        memory.happened, memory.key, memory.cleared = (
            happened.after(judged, scene),
            key,
            settings.cleared,
        )

    def measure(self, scene: Scene, settings: TargetSettings, memory: TargetMemory) -> TargetAnswer:
        """Where the spot lies now, and what has happened so far."""
        happened, goal = memory.happened, scene.profile.goal
        if settings.cleared != memory.cleared:
            happened = happened.cleared()
        judged = judge(scene.spot, goal, scene.yard, happened.past.side)
        return TargetAnswer(scene.origin, goal, judged, happened, scene.spot)

    def anew(self, answer: TargetAnswer, scene: Scene) -> TargetAnswer:
        """With the spot as the scene gives it."""
        goal = scene.profile.goal
        judged = judge(scene.spot, goal, scene.yard, answer.past.side)
        return replace(answer, goal=goal, judged=judged, spot=scene.spot)

    def places(self, answer: TargetAnswer) -> tuple[KeptPlaces, ...]:
        """Of the times it was out, and of the farthest."""
        return answer.happened.places

    def report(self, answer: TargetAnswer) -> Report:
        """The side, large; how far off; what has happened."""
        return target_report(answer)

    def lines(self, answer: TargetAnswer) -> Sequence[Line]:
        """It has no command."""
        return ()


INSTRUMENT: Instrument[Any, Any, Any] = TargetInstrument()
