"""Where camera A comes from: a picture that was taken, or another unit of the kit, live."""

from dataclasses import dataclass, field

from firmware.instruments.heard import Heard
from firmware.instruments.match.answer import Taken
from firmware.instruments.scene import Scene
from overlays.draw.moment.layers import Ghost
from overlays.measure.colour.whitepoint import WhitePoint

PICTURE, NOBODY = "", "-"
"""Where camera A may come from besides a unit by its name, which has a letter."""
NO_KIT = "this unit belongs to no kit; its preset needs a table [kit]"
NONE_HEARD = "no other unit of the kit is heard"


@dataclass(frozen=True, slots=True)
class MatchSettings:
    """What it is set to.

    Attributes
    ----------
    taken:
        How often a picture was taken as camera A.
    asked:
        How often the next unit was asked for to be camera A.
    dial:
        What a command says B's balance is dialled to; None leaves it to the desk and the profile.
    """

    taken: int = 0
    asked: int = 0
    dial: WhitePoint | None = None


@dataclass(slots=True, eq=False)
class MatchMemory:
    """Camera A, once it was taken, and what other units say.

    Attributes
    ----------
    taken:
        From the picture.
    heard:
        The other units.
    source, asked, number:
        Where camera A comes from, for so many presses of either kind.
    """

    taken: Taken | None = None
    heard: Heard = field(default_factory=Heard)
    source: str = PICTURE
    asked: int = 0
    number: int = 0

    @property
    def unit(self) -> str:
        """The unit that camera A comes from; empty where it is none."""
        return "" if self.source in {PICTURE, NOBODY} else self.source


def camera_a(
    scene: Scene, settings: MatchSettings, memory: MatchMemory
) -> tuple[Taken | None, str]:
    """Camera A as it is now, or None and why, where it is to come from another unit."""
    taken = _taken(scene, settings, memory)
    _choose(scene, settings, memory)
    return (taken, "") if memory.source == PICTURE else _from_unit(memory)


def _taken(scene: Scene, settings: MatchSettings, memory: MatchMemory) -> Taken | None:
    """Camera A; a press takes it from the next frame that is on the screen."""
    kept = memory.taken
    is_new = bool(settings.taken) and (kept is None or kept.number != settings.taken)
    if is_new and scene.is_shown:
        kept = memory.taken = take(scene.kept(), settings.taken)
    return kept


def _choose(scene: Scene, settings: MatchSettings, memory: MatchMemory) -> None:
    """A press goes on to the next unit, one that takes a picture to that."""
    if not scene.is_shown:
        return
    if settings.asked != memory.asked:
        memory.asked = settings.asked
        order = [PICTURE, *(sorted(memory.heard.units) or [NOBODY])]
        at = order.index(memory.source) if memory.source in order else -1
        memory.source = order[(at + 1) % len(order)]
    if settings.taken != memory.number:
        memory.number, memory.source = settings.taken, PICTURE


def _from_unit(memory: MatchMemory) -> tuple[Taken | None, str]:
    """Camera A as another unit reads it now, or why nothing comes from there."""
    if memory.source == NOBODY:
        return None, NONE_HEARD if memory.heard.is_kit else NO_KIT
    unit = memory.heard.units.get(memory.source)
    if unit is None:
        return None, f"{memory.source} was not heard yet"
    if unit.why_not:
        return None, unit.why_not
    return Taken(0, None, unit.spots, None, unit.wall_s, None, unit), ""


def take(scene: Scene, number: int) -> Taken:
    """A picture, as camera A."""
    ghost = Ghost.of(scene.census, scene.frame.signal)
    return Taken(number, scene.origin, scene.pins(), ghost, scene.wall_s, scene)
