"""Settings of a camera's controls as people write them: "ISO 800", "f/5.6", "ND 0.6", "180 deg"."""

import math
import re
from collections.abc import Callable
from dataclasses import replace

from firmware.errors import QuantityError
from overlays.measure.expose.sequences import (
    SHUTTER_ANGLES_DEG,
    ControlKind,
    Setting,
    aperture,
    density,
    density_in_stops,
    iso,
    shutter_angle,
    shutter_time,
    stacked,
)
from overlays.wording.read_number import number_in, short

_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_ISO = re.compile(rf"(?:ISO|EI)?\s*{_NUMBER}", re.ASCII | re.IGNORECASE)
_APERTURE = re.compile(rf"(f\s*/?|T\s*/?)?\s*{_NUMBER}", re.ASCII | re.IGNORECASE)
_ND = re.compile(rf"(?:ND)?\s*{_NUMBER}", re.ASCII | re.IGNORECASE)
_ND_STOPS = re.compile(rf"(?:ND\s*(?:of)?)?\s*{_NUMBER}\s*(?:stops?|st)", re.ASCII | re.IGNORECASE)
_ND_SHARE = re.compile(r"(?:ND)?\s*1/(\d{1,5})", re.ASCII | re.IGNORECASE)
_ANGLE = re.compile(rf"{_NUMBER}\s*(?:deg(?:rees)?|°)", re.ASCII | re.IGNORECASE)
_TIME = re.compile(rf"(?:1\s*/\s*{_NUMBER}|{_NUMBER})\s*(s|sec)?", re.ASCII | re.IGNORECASE)
_CLEAR = frozenset({"none", "clear", "no nd", "off"})


def parse_setting(kind: ControlKind, text: str, rate: float | None = None) -> Setting:
    """A setting as a person writes it.

    Parameters
    ----------
    kind:
        Of which control.
    text:
        "800" or "ISO 800"; "5.6", "f/5.6" or "T2.1"; "0.6", "ND 0.6", "2 st" or "1/64";
        "180 deg" or "1/50 s".
    rate:
        Frames a second, for an angle.

    Raises
    ------
    QuantityError
        It cannot be understood, or no camera has it.
    """
    return _PARSERS[kind](text.strip(), rate)


def _number(text: str) -> float:
    """What is written; nan, which lies within no limits, where that is no number."""
    number = number_in(text)
    return math.nan if number is None else number


def _within(kind: str, text: str, number: float, span: tuple[float, float]) -> float:
    if not span[0] <= number <= span[1]:
        raise QuantityError(
            f"{kind} {short(text)} is none a camera has; from {span[0]:g} to {span[1]:g} "
            "can be meant"
        )
    return number


def _parse_iso(text: str, _: float | None) -> Setting:
    found = _ISO.fullmatch(text)
    if found is None:
        raise QuantityError(f'iso {short(text)} is no speed; write a number, as "800"')
    return iso(_within("iso", text, _number(found[1]), (1.0, 1e6)))


def _parse_aperture(text: str, _: float | None) -> Setting:
    found = _APERTURE.fullmatch(text)
    if found is None:
        raise QuantityError(
            f'aperture {short(text)} is no stop; write it as "5.6", "f/5.6" or "T2.1"'
        )
    letter = "T" if (found[1] or "").upper().startswith("T") else "f/"
    return aperture(_within("aperture", text, _number(found[2]), (0.5, 128.0)), letter)


def _parse_nd(text: str, _: float | None) -> Setting:
    if text.lower() in _CLEAR:
        return density(0.0)
    if "+" in text:
        return stacked([_parse_nd(part.strip(), None) for part in text.split("+")])
    share = _ND_SHARE.fullmatch(text)
    if share is not None:
        factor = _within("nd", text, _number(share[1]), (1.0, 65536.0))
        # A filter marked 1/64 lets that share through exactly.
        setting = density_in_stops(math.log2(factor))
        return replace(setting, label=f"ND 1/{factor:.0f}", value=f"1/{factor:.0f}")
    marked = _ND_STOPS.fullmatch(text)
    if marked is not None:
        return density_in_stops(_within("nd", text, _number(marked[1]), (0.0, 20.0)))
    found = _ND.fullmatch(text)
    if found is None:
        raise QuantityError(
            f'nd {short(text)} is no filter; write its density, as "0.6", or "2 st", or "1/4", '
            'or filters one behind the other, as "0.6 + 0.3"'
        )
    return density(_within("nd", text, _number(found[1]), (0.0, 6.0)))


def _parse_shutter(text: str, rate: float | None) -> Setting:
    angle = _ANGLE.fullmatch(text)
    if angle is None and _is_usual_angle(text):
        angle = _ANGLE.fullmatch(f"{text} deg")
    if angle is not None:
        degrees = _within("shutter", text, _number(angle[1]), (0.5, 360.0))
        if rate is None:
            raise QuantityError(
                f"shutter {short(text)} is an angle, and the feed does not say its frames a "
                "second; write [camera] rate in the profile, or give the time, as 1/50"
            )
        return shutter_angle(degrees, rate)
    time = _TIME.fullmatch(text)
    if (
        time is None
        or (time[1] is None and time[3] is None)
        or not _number(time[1] or time[2]) > 0.0
    ):
        raise QuantityError(
            f'shutter {short(text)} is neither angle nor time; write "180 deg" or "1/50 s"'
        )
    seconds = 1.0 / _number(time[1]) if time[1] is not None else _number(time[2])
    return shutter_time(_within("shutter", text, seconds, (1e-6, 60.0)))


def _is_usual_angle(text: str) -> bool:
    """Whether a bare number can only be an angle."""
    return any(text == f"{angle:g}" for angle in SHUTTER_ANGLES_DEG if angle >= 90.0)


_PARSERS: dict[ControlKind, Callable[[str, float | None], Setting]] = {
    ControlKind.ISO: _parse_iso,
    ControlKind.APERTURE: _parse_aperture,
    ControlKind.ND: _parse_nd,
    ControlKind.SHUTTER: _parse_shutter,
}
