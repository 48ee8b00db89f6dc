"""What an instrument is told of the other units of its kit: plain values, made by whoever hears."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from overlays.measure.spot.spot import SpotReading

if TYPE_CHECKING:
    from firmware.instruments.told_pin import ToldPin


@dataclass(frozen=True, eq=False)
class HeardUnit:
    """Another unit, as it was heard last.

    Attributes
    ----------
    name:
        Of the unit.
    number:
        Of its reading; another one is another reading.
    why_not:
        Why nothing of it can be compared now, as a sentence; empty where it can.
    wall_s:
        Time of day here when it was heard.
    camera:
        What it reads and with what, by name, as the object of ``--json`` says it.
    warnings:
        What it says makes its readings less certain.
    read:
        Gives its pins as they were told.
    """

    name: str
    number: tuple[str, int]
    why_not: str = ""
    wall_s: float = 0.0
    camera: Mapping[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    read: "Callable[[], Sequence[ToldPin]]" = tuple

    @cached_property
    def pins(self) -> "tuple[ToldPin, ...]":
        """Its pins as they were told, asked for once."""
        return tuple(self.read())

    @cached_property
    def spots(self) -> dict[int, SpotReading]:
        """Readings of its pins by number, made when they are first asked for."""
        return {pin.number: pin.spot() for pin in self.pins}


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """The other units, by name; `is_kit` says whether there is a kit at all."""

    units: Mapping[str, HeardUnit] = field(default_factory=dict)
    is_kit: bool = False
