"""The object that `balance --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import (
    FeedObject,
    ProfileObject,
    colour_profile_object,
    feed_object,
)
from firmware.answers.place_object import centre_of
from firmware.instruments.balance.answer import BalanceAnswer
from overlays.measure.balance.balance import BalanceReading
from overlays.measure.balance.balance_advice import advice
from overlays.measure.balance.paper import PaperDoubt
from overlays.measure.spot.spot import SpotReading
from overlays.wording.reasons import Bound


@dataclass(frozen=True, slots=True)
class NeutralObject:
    """The card that was read."""

    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    stops: float | None = said("stops of the mean light from mid-grey")
    stops_pm: float | None = said("its half width at 95 %; null where (perhaps) clipped or cut off")
    at_least: bool = said("whether stops is only a lower bound: the card is clipped")
    rgb_linear: tuple[float, float, float] = said("mean linear light of R, G and B")
    clipped: float = said("share of the spot's pixels that is clipped, 0 to 1")


@dataclass(frozen=True, slots=True)
class FilterObject:
    """The conversion filter nearest to what is wanted."""

    name: str = said("its trade name")
    mired: float = said("what it shifts by; positive is warmer")
    leaves_mired: float | None = said("what it leaves of the shift wanted")


@dataclass(frozen=True, slots=True)
class PaperObject:
    """What paper in the place of a neutral card would make of the reading."""

    cream_kelvin: float = said("cream paper: kelvin read too high; below 0 too low")
    cream_tint: float = said("its tint, thousandths of Duv read too green")
    bright_kelvin: float = said("bright white printer paper: kelvin read too high")
    bright_tint: float = said("its tint, thousandths of Duv read too green")


@dataclass(frozen=True, slots=True)
class BalanceObject:
    """The answer of `balance --json`; a card that cannot be read has no numbers."""

    feed: FeedObject
    profile: ProfileObject
    spot: NeutralObject
    dial: float | None = said("what the camera is set to, in kelvin; null where nobody said")
    dial_tint: float | None = said("its tint, in thousandths of Duv")
    tolerance: float = said("largest off_neutral that counts as landed, in CIE 1976 u', v'")
    cct: float | None = said("colour temperature of the light as it is shown, in kelvin")
    cct_pm: float | None = said("its half width at 95 %")
    duv: float | None = said("its distance from the black-body locus; positive is greener")
    duv_pm: float | None = said("its half width at 95 %")
    r_stops: float | None = said("red above green, in stops")
    r_stops_pm: float | None = said("its half width at 95 %")
    b_stops: float | None = said("blue above green, in stops")
    b_stops_pm: float | None = said("its half width at 95 %")
    chroma_percent: float | None = said("distance from the middle of the chroma trace")
    chroma_percent_pm: float | None = said("its half width at 95 %")
    off_neutral: float | None = said("distance from the gamut's white in CIE 1976 u', v'")
    off_neutral_pm: float | None = said("its half width at 95 %")
    mired_shift: float | None = said("wanted of a filter on the light; negative is bluer")
    mired_shift_pm: float | None = said("its half width at 95 %")
    dial_to: float | None = said("what to dial, in kelvin; null where dial is not known")
    dial_to_pm: float | None = said("its half width at 95 %")
    tint: float | None = said("to add, in thousandths of Duv; positive is towards magenta")
    tint_pm: float | None = said("its half width at 95 %")
    filter: FilterObject | None = said(
        "null where none comes nearer than no filter, or the shift is within its half width"
    )
    in_tolerance: bool | None = said("whether it is to be left as it is")
    if_paper: PaperObject | None = said("what the reading is off by where the card is paper")
    advice: tuple[str, ...] = said("sentences, the most important first")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: BalanceAnswer) -> BalanceObject:
    """The object."""
    reading = answer.reading
    assert reading is not None  # `ask` answers with one
    settings = answer.settings
    dial = settings.dial
    return BalanceObject(
        feed=feed_object(answer.origin),
        profile=colour_profile_object(answer.origin),
        spot=_card(reading.spot),
        dial=None if dial is None else dial.kelvin,
        dial_tint=None if dial is None else 1000.0 * dial.duv,
        tolerance=settings.tolerance,
        cct=reading.cct,
        cct_pm=reading.cct_pm,
        duv=reading.duv,
        duv_pm=reading.duv_pm,
        r_stops=reading.r_stops,
        r_stops_pm=reading.r_stops_pm,
        b_stops=reading.b_stops,
        b_stops_pm=reading.b_stops_pm,
        chroma_percent=reading.chroma_percent,
        chroma_percent_pm=reading.chroma_percent_pm,
        off_neutral=reading.off_neutral,
        off_neutral_pm=reading.off_neutral_pm,
        mired_shift=reading.mired_shift,
        mired_shift_pm=reading.mired_shift_pm,
        dial_to=reading.dial_to,
        dial_to_pm=reading.dial_to_pm,
        tint=reading.tint,
        tint_pm=reading.tint_pm,
        filter=_filter(reading),
        in_tolerance=reading.in_tolerance,
        if_paper=_paper(reading.paper),
        advice=tuple(advice(reading, settings)),
        warnings=answer.warnings,
    )


def _card(spot: SpotReading) -> NeutralObject:
    return NeutralObject(
        *centre_of(spot.place),
        spot.stops,
        spot.stops_pm,
        spot.bound is Bound.AT_LEAST,
        spot.rgb_linear,
        spot.clipped,
    )


def _filter(reading: BalanceReading) -> FilterObject | None:
    sheet = reading.sheet
    if sheet is None:
        return None
    return FilterObject(sheet.name, sheet.mired, reading.sheet_leaves_mired)


def _paper(doubt: PaperDoubt | None) -> PaperObject | None:
    if doubt is None:
        return None
    return PaperObject(doubt.cream_kelvin, doubt.cream_tint, doubt.bright_kelvin, doubt.bright_tint)
