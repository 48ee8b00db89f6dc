"""What the giant reading finds."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from firmware.instruments.target.happened import Happened
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Goal, Judgement
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True)
class TargetAnswer:
    """What the spot reads, how it lies against its goal, and what has happened so far."""

    origin: Origin
    goal: Goal
    judged: Judgement
    happened: Happened
    spot: SpotReading | None = None

    @property
    def past(self) -> Excursions:
        """How often the spot was out, and how far."""
        return self.happened.past

    @property
    def warnings(self) -> tuple[str, ...]:
        """Of profile and feed, and of the spot."""
        of_spot = () if self.spot is None else self.spot.warnings
        return tuple(dict.fromkeys([*self.origin.warnings, *of_spot]))
