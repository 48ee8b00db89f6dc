"""A match with another unit of the kit, made of own codes and of what that unit told.

To such a match what was told is what codes are to any other: it stands in the mark as it came, and
every number is made of it and of the codes of the pins here. The codes that the other unit read
never leave it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from pydantic import Field

from firmware.instruments.grounds import Grounds, GroundsFound
from firmware.instruments.heard import Heard, HeardUnit
from firmware.instruments.match.answer import MatchAnswer
from firmware.instruments.match.camera_a import NO_KIT, NOBODY, MatchMemory, MatchSettings
from firmware.instruments.match.instrument import INSTRUMENT
from firmware.instruments.told_pin import MOST_PINS, Sentences, ToldPin, Words
from overlays.measure.spot.spot import SpotPlace

MOST_NAMES = 32
"""Of what a unit says of its camera; more is nothing that a unit of ours says."""
Said = Annotated[
    Mapping[Words, Words | bool | int | Sentences | None], Field(max_length=MOST_NAMES)
]


@dataclass(frozen=True, slots=True)
class HeardMadeOf:
    """What camera A's unit told.

    Attributes
    ----------
    source:
        Its name; `NOBODY` where none was heard.
    why_not:
        Why nothing of it could be compared, as a sentence; then there is nothing of the rest.
    reading:
        Which run of the unit, and which of its readings.
    camera, warnings:
        What it read and with what, by name; what made that less certain.
    pins:
        Those that both cameras have, as they were told.
    """

    source: Words
    why_not: Words = ""
    reading: tuple[Words, int] = ("", 0)
    camera: Said = field(default_factory=dict)
    warnings: Sentences = ()
    pins: Annotated[tuple[ToldPin, ...], Field(max_length=MOST_PINS)] = ()


MADE_OF = HeardMadeOf


def places(_answer: MatchAnswer) -> tuple[SpotPlace, ...]:
    """No other places of the frame of the mark than the pins."""
    return ()


def keep(answer: MatchAnswer) -> Grounds | None:
    """What an answer is made of; None where camera A was taken from a picture."""
    if not answer.unit and not answer.why_not:
        return None
    compared = answer.compared
    if compared is None or compared.a.unit is None:
        return Grounds(HeardMadeOf(answer.unit or NOBODY, answer.why_not))
    unit = compared.a.unit
    pins = tuple(each for each in unit.pins if each.number in compared.numbers)
    return Grounds(HeardMadeOf(unit.name, "", unit.number, unit.camera, unit.warnings, pins))


def answer(found: GroundsFound) -> MatchAnswer:
    """The answer of that and of the codes alone, by way of the view that shows it live."""
    told: HeardMadeOf = found.made_of
    unit = HeardUnit(
        told.source,
        told.reading,
        told.why_not,
        camera=told.camera,
        warnings=told.warnings,
        read=lambda: told.pins,
    )
    units = {} if told.source == NOBODY else {unit.name: unit}
    heard = Heard(units, is_kit=told.why_not != NO_KIT)
    memory = MatchMemory(heard=heard, source=told.source)
    made: MatchAnswer = INSTRUMENT.measure(found.scene, MatchSettings(), memory)
    return made
