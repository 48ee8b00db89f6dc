"""What a report is made of: a measured frame, and what the state wishes."""

from dataclasses import dataclass, field
from enum import Enum

from firmware.profiles.model import Profile
from firmware.state_colour import Colouring
from overlays.draw.layout.views import View
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.expose.sequences import Control
from overlays.measure.range.range import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True)
class PinPlace:
    """A pin of the state: its name and where it is."""

    name: str
    place: SpotPlace


class Asked(Enum):
    """What the pins are asked for in their view."""

    RATIOS = "ratios"
    EVENNESS = "evenness"


@dataclass(frozen=True, slots=True)
class Wishes:
    """What of the state concerns reports.

    Attributes
    ----------
    view, profile, pins:
        Of the state.
    controls, chosen:
        The camera's controls as they stand, and which one is moved.
    taken, marked:
        How often a picture was taken to match, and a mark set to watch from.
    asked:
        Of the pins.
    held:
        Whether a frame is held, and the live ones are not on the screen.
    colour:
        What the views of colour are set to.
    """

    view: View
    profile: Profile
    pins: tuple[PinPlace, ...] = ()
    controls: tuple[Control, ...] = ()
    chosen: int = 0
    taken: int = 0
    marked: int = 0
    asked: Asked = Asked.RATIOS
    held: bool = False
    colour: Colouring = field(default_factory=Colouring)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """One measured frame."""

    frame: Frame
    yard: Yardstick
    census: Census
    place: SpotPlace
    spot: SpotReading | None
    range: RangeReading | None
