"""What an instrument measures: one frame, counted and read, with what it is read with."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import Enum, auto
from typing import Protocol, runtime_checkable

from firmware.answers.origin import Origin, origin_of
from firmware.instruments.desk import Desk
from firmware.opening.read_with import ReadWith
from firmware.profiles.model import Profile
from overlays.draw.moment.layers import PinFlags, PinShown
from overlays.errors import OverlayError
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.range_reading import RangeReading
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.kept_frame import kept


class Truth(Protocol):
    """What a spot of the bench truly is."""

    @property
    def percent(self) -> float:
        """Video level."""
        ...

    @property
    def stops(self) -> float:
        """Stops from mid-grey; not finite where there is no light."""
        ...


@runtime_checkable
class KnowsTruth(Protocol):
    """A feed whose scene is known: the bench."""

    def truth(self, place: SpotPlace, frame: Frame) -> Truth:
        """What a spot of a frame truly is."""
        ...


class Frames(Enum):
    """Which frames a scene is one of."""

    LIVE = auto()
    """One of a feed's, as they come."""
    HELD = auto()
    """One that was stopped on the screen."""
    ONCE = auto()
    """The one that a command asked for."""


@dataclass(slots=True, eq=False)
class Scene:
    """One measured frame.

    Attributes
    ----------
    frame, yard, census:
        The frame, what it is measured with, and its counts.
    read_with, desk:
        Profile and gamut on the feed, and what the person has set.
    place, spot:
        The spot, and its reading; None where it could not be read.
    range:
        The extremes; None where they could not be found.
    frames, is_shown:
        Whether it is a live frame or a held one, and whether frames of this kind are those on the
        screen.
    now_ns, wall_s:
        When it was measured: on the clock that frames are stamped with, and the time of day.
    truth:
        Of a feed that knows it: what a spot truly is.
    """

    frame: Frame
    yard: Yardstick
    census: Census
    read_with: ReadWith
    desk: Desk
    place: SpotPlace
    spot: SpotReading | None
    range: RangeReading | None
    frames: Frames = Frames.ONCE
    is_shown: bool = True
    now_ns: int = 0
    wall_s: float = 0.0
    truth: Callable[[SpotPlace, Frame], Truth] | None = None
    _read: dict[SpotPlace, SpotReading] = field(default_factory=dict)

    @property
    def profile(self) -> Profile:
        """The profile in use."""
        return self.read_with.profile

    @property
    def gamut(self) -> Gamut:
        """What the feed's R, G and B mean."""
        return self.read_with.gamut

    @property
    def origin(self) -> Origin:
        """What an answer keeps of it."""
        return origin_of(self.frame, self.read_with)

    def kept(self) -> "Scene":
        """The same with a frame that outlives its feed."""
        return replace(self, frame=kept(self.frame))

    def read(self, place: SpotPlace) -> SpotReading:
        """A spot of it, read once.

        Raises
        ------
        SpotOutsideError
            It does not lie wholly inside.
        """
        if place not in self._read:
            self._read[place] = read_spot(self.frame, self.yard, place)
        return self._read[place]

    def pins(self) -> dict[int, SpotReading]:
        """The pins by number; where there is none, the spot stands for pin 1.

        Those outside of the picture are left out.
        """
        places = [pin.place for pin in self.desk.pins] or [self.place]
        out = {}
        for number, place in enumerate(places, start=1):
            try:
                out[number] = self.read(place)
            except OverlayError:
                continue
        return out

    def pin_flags(self) -> PinFlags:
        """The pins as they are drawn on the picture."""
        return PinFlags(
            tuple(
                PinShown(pin.place, f"{number} {pin.name}".strip())
                for number, pin in enumerate(self.desk.pins, start=1)
            )
        )
