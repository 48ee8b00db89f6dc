"""What the giant reading finds."""

from dataclasses import dataclass

from firmware.answers.origin import Origin
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Goal, Judgement


@dataclass(frozen=True, slots=True)
class TargetAnswer:
    """One answer: where the spot lies against its goal, and what has happened so far."""

    origin: Origin
    goal: Goal
    judged: Judgement
    past: Excursions
