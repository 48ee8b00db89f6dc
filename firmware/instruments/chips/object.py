"""The object that `chips --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.answers.place_object import centre_of, sides_of
from firmware.instruments.chips.answer import ChipsAnswer, unit_of
from overlays.measure.chips.chip_words import advice_of, chip_words
from overlays.measure.chips.three_chip import ChipReading


@dataclass(frozen=True, slots=True)
class ChipObject:
    """One chip."""

    chip: str = said('"white", "grey" or "black"')
    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    percent: float | None = said("mean video level")
    stops: float | None = said("stops from mid-grey")
    stops_pm: float | None = said("its half width at 95 %; null where (perhaps) clipped or cut off")
    at_least: bool = said("whether stops, percent and off are only lower bounds: it is clipped")
    at_most: bool = said("whether they are only upper bounds: it is cut off below")
    target: str = said("where it belongs, with its unit")
    within: str = said("how far from there is fine, with its unit")
    off: float | None = said("how far above its target")
    off_pm: float | None = said("its half width at 95 %; null where off is only a bound")
    unit: str = said('"%" or "st", of off')
    in_tolerance: bool | None = said("whether it is fine; null where that cannot be told")


@dataclass(frozen=True, slots=True)
class ExplanationObject:
    """What would explain what was read."""

    causes: tuple[str, ...]
    amounts: tuple[float, ...]
    advice: str


@dataclass(frozen=True, slots=True)
class ChipsObject:
    """The answer of `chips --json`."""

    feed: FeedObject
    profile: ProfileObject
    chips: tuple[ChipObject, ...]
    in_tolerance: bool | None = said("whether all three are fine; null where that cannot be told")
    explanations: tuple[ExplanationObject, ...] = said("the likeliest first")
    advice: tuple[str, ...] = said("sentences")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: ChipsAnswer) -> ChipsObject:
    """The object."""
    verdict = answer.verdict
    assert verdict is not None  # `ask` answers with one
    return ChipsObject(
        feed_object(answer.origin),
        profile_object(answer.origin),
        tuple(_chip(chip) for chip in verdict.chips),
        verdict.in_tolerance,
        tuple(
            ExplanationObject(
                tuple(cause.value for cause in each.causes), tuple(each.amounts), advice_of(each)
            )
            for each in verdict.explanations
        ),
        tuple(chip_words(verdict)),
        tuple(dict.fromkeys([*answer.origin.warnings, *verdict.warnings])),
    )


def _chip(chip: ChipReading) -> ChipObject:
    return ChipObject(
        chip.chip.value,
        *centre_of(chip.spot.place),
        chip.spot.percent,
        chip.spot.stops,
        chip.spot.stops_pm,
        *sides_of(chip.bound),
        str(chip.target.at),
        str(chip.target.within).lstrip("+"),
        chip.off,
        chip.off_pm,
        unit_of(chip),
        chip.in_tolerance,
    )
