"""`[balance]` of a profile: what the camera's balance is set to, and when it counts as right."""

import math
import re
from typing import Annotated

from pydantic import BaseModel, ConfigDict, PlainValidator

from firmware.errors import ArgumentError, QuantityError
from firmware.profiles.number_with_unit import text_of
from overlays.errors import UnknownGamutError
from overlays.measure.colour.locus import HIGHEST_KELVIN, LOWEST_KELVIN
from overlays.measure.colour.whitepoint import THREE_STEPS, WhitePoint
from overlays.signal.gamuts import Gamut, published_gamut
from overlays.wording.read_number import number_in, short

STEP = THREE_STEPS / 3.0
"""One step of chromaticity in CIE 1976 u', v'."""
LARGEST_TINT = 50.0
_NUMBER = r"\s*([+\-\u2212]?\s*(?:\d+(?:\.\d*)?|\.\d+))\s*"
_KELVIN = re.compile(_NUMBER + r"K?\s*", re.ASCII | re.IGNORECASE)
_TINT = re.compile(_NUMBER + r"(?:thousandths)?\s*", re.ASCII | re.IGNORECASE)
_STEPS = re.compile(_NUMBER + r"steps?\s*", re.ASCII | re.IGNORECASE)


def _number(found: re.Match[str] | None) -> float:
    """What is written; nan, which lies within no limits, where that is no number."""
    number = None if found is None else number_in(found[1].replace(" ", ""))
    return math.nan if number is None else number


def parse_kelvin(text: object) -> float:
    """A colour temperature, "5600 K" or 5600.

    Raises
    ------
    QuantityError
        No number of kelvin, or none a light has.
    """
    number = _number(_KELVIN.fullmatch(text_of(text)))
    if not LOWEST_KELVIN <= number <= HIGHEST_KELVIN:
        raise QuantityError(
            f"{short(text)} is no colour temperature; write kelvin from {LOWEST_KELVIN:.0f} to "
            f'{HIGHEST_KELVIN:.0f}, as "5600 K"'
        )
    return number


def parse_tint(text: object) -> float:
    """A tint in thousandths of Duv, "+3 thousandths" or 3; positive suits a greener light.

    Raises
    ------
    QuantityError
        No number, or further off than a white light lies.
    """
    number = _number(_TINT.fullmatch(text_of(text)))
    if not abs(number) <= LARGEST_TINT:
        raise QuantityError(
            f"{short(text)} is no tint; write thousandths of Duv from -{LARGEST_TINT:.0f} to "
            f'{LARGEST_TINT:.0f}, as "+3 thousandths"'
        )
    return number + 0.0


def parse_steps(text: object) -> float:
    """A tolerance in CIE 1976 u', v', written in steps of 0.0011: "3 steps".

    Raises
    ------
    QuantityError
        Not a number of steps, or none that makes sense.
    """
    number = _number(_STEPS.fullmatch(text) if isinstance(text, str) else None)
    if not 0.5 <= number <= 30.0:
        raise QuantityError(
            f"{short(text)} is no tolerance; write steps of chromaticity from 0.5 to 30, "
            'as "3 steps"'
        )
    return STEP * number


def parse_gamut(text: object) -> Gamut:
    """A published gamut by its name.

    Raises
    ------
    ArgumentError
        There is none of that name.
    """
    try:
        return published_gamut(text_of(text))
    except UnknownGamutError as fault:
        raise ArgumentError(str(fault)) from fault


class BalanceTable(BaseModel):
    """The table itself; a tint without a dial says nothing."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True
    )

    dial: Annotated[float, PlainValidator(parse_kelvin)] | None = None
    tint: Annotated[float, PlainValidator(parse_tint)] = 0.0
    tolerance: Annotated[float, PlainValidator(parse_steps)] = THREE_STEPS

    @property
    def white(self) -> WhitePoint | None:
        """The light the camera is dialled to, where it is said."""
        return None if self.dial is None else WhitePoint(self.dial, self.tint / 1000.0)
