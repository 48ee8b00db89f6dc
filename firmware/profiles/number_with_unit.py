"""Numbers with their unit, as a person writes them: "+6.0 st", "42 %"."""

import re

from firmware.errors import QuantityError
from overlays.signal.quantities import Level, Unit
from overlays.wording.read_number import number_in, short

_WRITTEN = re.compile(
    r"\s*(?P<sign>[+\-\u2212]?)\s*(?P<number>\d+(?:\.\d*)?|\.\d+)\s*(?P<unit>stops?|st|%)\s*",
    re.ASCII | re.IGNORECASE,
)
_COMMA = re.compile(r"\d,\d")
_BARE = re.compile(r"\s*[+\-\u2212]?\s*(\d+(\.\d*)?|\.\d+)\s*", re.ASCII)

_FARTHEST = {Unit.STOPS: 30.0, Unit.PERCENT: 1000.0}
"""Beyond any published curve: the widest carry some 20 stops, 16-bit codes end at 110 %."""


def text_of(given: object) -> str:
    """A text or number of a profile as text; empty for whatever else stands there."""
    if isinstance(given, bool) or not isinstance(given, str | int | float):
        return ""
    if isinstance(given, str):
        return given
    # Python refuses to write a whole number of thousands of digits.
    return str(given) if abs(given) < 1e18 else ""


def parse_level(text: object) -> Level:
    """A level in percent or stops.

    A true minus sign (U+2212) is as good as a hyphen; the blank before the unit may be missing.

    Raises
    ------
    QuantityError
        Not text, no number, no unit, or farther out than any curve carries.
    """
    if not isinstance(text, str):
        bare = isinstance(text, int | float) and not isinstance(text, bool) and abs(text) < 1e6
        example = f'"{text:g} st" or "{text:g} %"' if bare else '"0 st" or "42 %"'
        raise QuantityError(f"{short(text)} is not a quantity with its unit; write {example}")
    found = _WRITTEN.fullmatch(text)
    if found is None:
        raise QuantityError(f"{short(text)} {_why_not(text)}")
    size = number_in(found["number"])
    unit = Unit.PERCENT if found["unit"] == "%" else Unit.STOPS
    if size is None or size > _FARTHEST[unit]:
        raise QuantityError(
            f"{short(text)} is farther out than any curve carries; "
            f"at most {_FARTHEST[unit]:g} {unit.value} either way can be meant"
        )
    number = -size if found["sign"] in {"-", "\u2212"} else size
    return Level(number + 0.0, unit)  # + 0.0: minus zero is zero


def _why_not(text: str) -> str:
    if _COMMA.search(text):
        return 'has a decimal comma; write a point, as in "0.2 st"'
    if _BARE.fullmatch(text):
        plain = text.strip()[:20]
        return f'has no unit; write "{plain} st" for stops or "{plain} %" for percent'
    return 'is not a number with st or % behind it; write it as "+6.0 st" or "42 %"'


def parse_width(text: object) -> float:
    """How far either way still counts as there, in stops of light; above 0 and up to 10.

    Raises
    ------
    QuantityError
        Not a quantity in stops, or none that leaves something outside.
    """
    level = parse_level(text)
    if level.unit is not Unit.STOPS or not 0.0 < level.number <= 10.0:
        raise QuantityError(
            f"{short(text)} is no tolerance; write stops either way, above 0 st and up to 10 st, "
            'as "0.3 st"'
        )
    return level.number


def parse_share(text: object) -> float:
    """A share of the picture, above 0 and up to 100 percent; only % will do.

    Raises
    ------
    QuantityError
        Not a quantity in percent, or outside 0..100.
    """
    if not isinstance(text, str) or _BARE.fullmatch(text):
        raise QuantityError(f'{short(text)} has no unit; write a share of the picture as "4.4 %"')
    level = parse_level(text)
    if level.unit is not Unit.PERCENT:
        raise QuantityError(
            f'{short(text)} is in stops; a share of the picture is in percent, as "4.4 %"'
        )
    if not 0.0 < level.number <= 100.0:
        raise QuantityError(
            f"{short(text)} is no share of the picture; write above 0 % and up to 100 %"
        )
    return level.number
