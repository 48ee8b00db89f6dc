"""A spot's reading on its way to another unit and back.

What is uncertain about it travels as the half widths of R, G and B. Of any other quantity made of
the three nothing smaller can be said there than their sum, which is what the receiver takes.
"""

import math
from collections.abc import Iterable
from dataclasses import fields

import numpy as np

from firmware.instruments.told_pin import LONGEST, MOST_SENTENCES, ToldPin
from firmware.kit.payloads import PinPart
from overlays.measure.spot.spot import SpotReading
from overlays.wording.reasons import Bound

UNKNOWN_WIDTH = 1e6
"""Stands for a half width that nobody knows: no comparison takes such a pin."""


def plain(words: str) -> str:
    """Words as they may be sent: bounded, and text."""
    return words.encode("utf-8", "replace").decode()[:LONGEST]


def sentences(every: Iterable[str]) -> tuple[str, ...]:
    """Sentences as they may be sent, each once."""
    return tuple(dict.fromkeys(plain(each) for each in every))[:MOST_SENTENCES]


def pin_part(number: int, name: str, spot: SpotReading) -> PinPart:
    """A reading as it is sent."""
    place, bound = spot.place, spot.bound
    widths = [spot.errors.pm(np.eye(3)[k]) for k in range(3)]
    red, green, blue = (
        min(each, UNKNOWN_WIDTH) if math.isfinite(each) else UNKNOWN_WIDTH for each in widths
    )
    return PinPart(
        number=number,
        name=plain(name),
        x=place.column,
        y=place.row,
        width=place.size,
        height=place.rows,
        percent=float(spot.percent),
        percent_pm=_known(spot.percent_pm),
        stops=_known(spot.stops),
        stops_pm=_known(spot.stops_pm),
        at_least=bound is Bound.AT_LEAST,
        at_most=bound is Bound.AT_MOST,
        luminance=float(spot.luminance),
        rgb_linear=_three(spot.rgb_linear),
        rgb_linear_pm=(float(red), float(green), float(blue)),
        rgb_stops=_each(spot.rgb_stops),
        rgb_stops_pm=_each(spot.rgb_stops_pm),
        code=_three(spot.code),
        clipped=float(spot.clipped),
        clipped_rgb=_three(spot.clipped_rgb),
        below_floor=float(spot.below_floor),
        explained=float(spot.explained),
        may_clip=spot.may_clip,
        cut_off=plain(spot.cut_off),
        warnings=sentences(spot.warnings),
    )


def told_pin(part: PinPart) -> ToldPin:
    """What came, as instruments and marks hold it."""
    return ToldPin(**{each.name: getattr(part, each.name) for each in fields(ToldPin)})


def _known(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


def _three(values: Iterable[float]) -> tuple[float, float, float]:
    red, green, blue = values
    return float(red), float(green), float(blue)


def _each(
    values: tuple[float | None, float | None, float | None],
) -> tuple[float | None, float | None, float | None]:
    red, green, blue = values
    return _known(red), _known(green), _known(blue)
