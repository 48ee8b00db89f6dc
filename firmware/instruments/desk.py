"""What a person has set that concerns more than one instrument. Pure, as all of the state."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from firmware.profiles.model import Profile
from overlays.draw.chroma.graticule import GAINS
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.spot.spot import SpotPlace, default_size

CHIPS = ("white", "grey", "black")
"""Names of the pins that lie on three chips."""


@dataclass(frozen=True, slots=True)
class PinPlace:
    """A pin: its name, which may be empty, where it is, and whether a person set it there."""

    name: str
    place: SpotPlace
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class Desk:
    """Pins, the camera's dial, and the gain of the chroma trace.

    Attributes
    ----------
    pins:
        Spots that stay, in the order of their numbers.
    dial_kelvin:
        What the camera's balance is set to, as told on the screen; None leaves it to the profile.
    gain:
        Of the chroma trace.
    """

    pins: tuple[PinPlace, ...] = ()
    dial_kelvin: float | None = None
    gain: int = 1

    def dial(self, of_profile: WhitePoint | None) -> WhitePoint | None:
        """The light the camera is set to, as far as anyone said."""
        if self.dial_kelvin is None:
            return of_profile
        return WhitePoint(self.dial_kelvin, 0.0 if of_profile is None else of_profile.duv)

    def chips(self) -> tuple[int, ...] | None:
        """Numbers of the pins on white, grey and black: by their names, else the first three."""
        names = {pin.name.casefold(): number for number, pin in enumerate(self.pins, start=1)}
        if all(chip in names for chip in CHIPS):
            return tuple(names[chip] for chip in CHIPS)
        return (1, 2, 3) if len(self.pins) >= len(CHIPS) else None

    def with_next_gain(self) -> "Desk":
        """The chroma trace drawn with the next of its gains, the first after the last."""
        return replace(self, gain=GAINS[(GAINS.index(self.gain) + 1) % len(GAINS)])

    def with_pin(self, spot: SpotPlace) -> "Desk":
        """A pin where the spot is; the eighth is moved there when there are eight."""
        return replace(self, pins=(*self.pins[: MOST_PINS - 1], PinPlace("", spot, True)))

    def with_chips(self, places: Sequence[SpotPlace]) -> "Desk":
        """Pins named white, grey and black at these places; others stay as far as there is room."""
        others = [pin for pin in self.pins if pin.name.casefold() not in CHIPS]
        named = (PinPlace(name, at, True) for name, at in zip(CHIPS, places, strict=True))
        return replace(self, pins=(*others[: MOST_PINS - len(CHIPS)], *named))

    def without_last_pin(self) -> "Desk":
        """The last pin goes."""
        return replace(self, pins=self.pins[:-1])

    def with_pins_of(self, profile: Profile, columns: int, rows: int) -> "Desk":
        """The pins of another profile; all stay as they are where one was set by hand.

        A person counts by their numbers, so none gets another one.
        """
        if any(pin.by_hand for pin in self.pins):
            return self
        return replace(self, pins=pins_of(profile, columns, rows))

    def resized(self, before: tuple[int, int], after: tuple[int, int]) -> "Desk":
        """Pins keep their place and their share on a picture of another size (columns, rows)."""
        across, down = after[0] / before[0], after[1] / before[1]
        pins = []
        for pin in self.pins:
            place = pin.place
            size = max(2 * round(place.size * down / 2.0), 2)
            moved = inside(round(place.column * across), round(place.row * down), size, *after)
            pins.append(replace(pin, place=moved))
        return replace(self, pins=tuple(pins))


def pins_of(profile: Profile, columns: int, rows: int) -> tuple[PinPlace, ...]:
    """The pins of a profile on a picture, each wholly inside it."""
    size = min(default_size(rows, profile.spot_percent / 100.0), columns, rows)
    return tuple(
        PinPlace(name, inside(int(x * columns), int(y * rows), size, columns, rows))
        for name, x, y in profile.pins
    )


def inside(column: int, row: int, size: int, columns: int, rows: int) -> SpotPlace:
    """The spot nearest to a place that lies wholly inside the picture."""
    size = max(min(size, columns, rows), 2)
    half = size // 2
    return SpotPlace(
        min(max(column, half), columns - size + half),
        min(max(row, half), rows - size + half),
        size,
    )
