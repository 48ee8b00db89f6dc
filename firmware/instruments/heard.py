"""What an instrument is told of the other units of its kit: plain values, made by whoever hears."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from overlays.measure.spot.spot import SpotReading


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
        Makes its pins by number.
    """

    name: str
    number: tuple[str, int]
    why_not: str = ""
    wall_s: float = 0.0
    camera: Mapping[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    read: Callable[[], dict[int, SpotReading]] = dict

    @cached_property
    def spots(self) -> dict[int, SpotReading]:
        """Its pins by number, made when they are first asked for."""
        return self.read()


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """The other units, by name; `is_kit` says whether there is a kit at all."""

    units: Mapping[str, HeardUnit] = field(default_factory=dict)
    is_kit: bool = False
