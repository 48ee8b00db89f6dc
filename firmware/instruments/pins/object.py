"""The object that `pins --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.answers.place_object import centre_of, sides_of
from firmware.instruments.pins.answer import EvennessAnswer, PinsAnswer, warnings_of
from overlays.measure.pins.lighting import Ratio, why_no_ratio
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True)
class PinObject:
    """One pin."""

    pin: int = said("its number, from 1")
    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    percent: float | None = said("mean video level")
    stops: float | None = said("stops from mid-grey")
    stops_pm: float | None = said("its half width at 95 %; null where (perhaps) clipped or cut off")
    at_least: bool = said("whether stops is only a lower bound: the pin is clipped")
    at_most: bool = said("whether stops is only an upper bound: the pin is cut off below")
    name: str | None = said("what the profile calls it; else null")


@dataclass(frozen=True, slots=True)
class RatioObject:
    """One pin against another."""

    pins: tuple[int, int] = said("their numbers")
    stops: float | None = said("how much brighter the first is")
    pm: float | None = said("its half width at 95 %")
    at_least: bool = said("whether all of it is only a lower bound: the first is clipped")
    at_most: bool = said("whether all of it is only an upper bound: the second is clipped")
    ratio: float | None = said("the same as a factor of light")
    key_over_fill_stops: float | None = said(
        "where the second is lit by the fill alone; null where the ± leaves over half a stop open"
    )


@dataclass(frozen=True, slots=True)
class EvennessObject:
    """How even an area is lit."""

    within_stops: float | None = said("the most any cell is off the mean")
    within_pm: float | None = said("its half width at 95 %")
    spread_stops: float | None = said("from the darkest cell to the brightest")
    pm: float | None = said("its half width at 95 %")
    brightest: tuple[int, int] = said("row and column of the cell")
    darkest: tuple[int, int] = said("row and column of the cell")
    of_each_cell: int | None = said("pixels each way that were read in its middle; null: all")
    map_stops: tuple[tuple[float | None, ...], ...] = said("each cell against the mean")


@dataclass(frozen=True, slots=True)
class PinsObject:
    """The answer of `pins --json`."""

    feed: FeedObject
    profile: ProfileObject
    pins: tuple[PinObject, ...]
    ratios: tuple[RatioObject, ...]
    evenness: EvennessObject | None = said("null where no area was named")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: PinsAnswer) -> PinsObject:
    """The object."""
    return PinsObject(
        feed_object(answer.origin),
        profile_object(answer.origin),
        tuple(_pin(n, spot, answer.names.get(n)) for n, spot in answer.spots.items()),
        tuple(_ratio(pair, ratio) for pair, ratio in answer.ratios.items()),
        None if answer.evenness is None else _evenness(answer.evenness),
        (*warnings_of(answer), *_unknown_ratios(answer)),
    )


def _unknown_ratios(answer: PinsAnswer) -> list[str]:
    """Why two pins have no ratio; the terminal says it in their line."""
    return [
        f"pin {one} to pin {other}: unknown, "
        f"{why_no_ratio(answer.spots[one], answer.spots[other]).words}"
        for (one, other), ratio in answer.ratios.items()
        if ratio is None
    ]


def _pin(number: int, spot: SpotReading, name: str | None) -> PinObject:
    return PinObject(
        number,
        *centre_of(spot.place),
        spot.percent,
        spot.stops,
        spot.stops_pm,
        *sides_of(spot.bound),
        name or None,
    )


def _ratio(pair: tuple[int, int], ratio: Ratio | None) -> RatioObject:
    if ratio is None:
        return RatioObject(pair, None, None, False, False, None, None)
    return RatioObject(
        pair,
        ratio.stops,
        ratio.pm,
        *sides_of(ratio.bound),
        ratio.ratio,
        ratio.key_over_fill_stops,
    )


def _evenness(found: EvennessAnswer) -> EvennessObject | None:
    even = found.even
    if even is None:
        return None
    return EvennessObject(
        even.within_stops,
        even.within_pm,
        even.spread_stops,
        even.spread_pm,
        even.brightest,
        even.darkest,
        found.most,
        tuple(tuple(float(cell) for cell in row) for row in even.map_stops),
    )
