"""The object that `feedcheck --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import absent, said
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.answers.terminal_numbers import plain
from firmware.instruments.feedcheck.answer import FeedcheckAnswer
from firmware.instruments.feedcheck.lines import advice_of
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.verdict import Hypothesis
from overlays.measure.feedcheck.words import verdict_words
from overlays.signal.signal import Matrix


@dataclass(frozen=True, slots=True)
class ReadingObject:
    """One reading."""

    of: str = said('"cap", "card", "clip", "white" or "dark" (the card four stops down)')
    code: float = said("mean luma in codes of the feed")
    code_pm: float = said("its half width at 95 %")


@dataclass(frozen=True, slots=True)
class DeliveryObject:
    """What arrives."""

    curve: str = said("the published name of the transfer function")
    carriage: str = said('"full" or "narrow": how the curve lies on codes')
    range: str = said('"limited", "full", "stretched", "squeezed" or "squeezed-twice"')
    matrix: str | None = said("null where no saturated patches decide it")


@dataclass(frozen=True, slots=True)
class ResidualObject:
    """What was read less what was expected, in codes."""

    cap: float = said("of no light")
    card: float = said("of 18 %")
    clip: float = said("only what lies beyond what the link can carry")
    white: float | None = absent("of a white chip, where one was read")
    dark: float | None = absent("of the card four stops down, where it was read")


@dataclass(frozen=True, slots=True)
class HypothesisObject(DeliveryObject):
    """One hypothesis against the readings."""

    residual_codes: ResidualObject = said("by reading")
    beyond_codes: float = said("how far outside of what cap, card and clip may be off")
    probability: float = said("its share of the likelihood of all, from 0 to 1")
    possible: bool = said("whether no reading speaks against it")


@dataclass(frozen=True, slots=True)
class CostObject:
    """What it costs to read the feed as it is read now."""

    place: str
    stops: float = said("where it lies, in stops from mid-grey")
    off_stops: float | None = said("read less true; null where it cannot be read at all")


@dataclass(frozen=True, slots=True)
class FeedcheckObject:
    """The answer of `feedcheck --json`."""

    feed: FeedObject
    profile: ProfileObject
    readings: tuple[ReadingObject, ...]
    hypotheses: tuple[HypothesisObject, ...] = said("the likeliest first; all that are possible")
    verdict: str = said("one sentence")
    certain: bool = said("whether one way to read greys alone is possible")
    chosen: DeliveryObject | None = said("the likeliest; null where nothing known explains it")
    read_alike: tuple[DeliveryObject, ...] = said("other names for the same reading of greys")
    costs: tuple[CostObject, ...] = said("of reading it as now; empty where that is right")
    patches: tuple[str, ...] = said("saturated patches that were read")
    matrices: tuple[str, ...] = said("that all of these leave possible, the nearest first")
    ask: str | None = said("the reading that would tell more: white or dark; null where none")
    advice: tuple[str, ...] = said("sentences")
    suspected: tuple[str, ...] = said("signs in the codes that were read, and what they mean")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: FeedcheckAnswer) -> FeedcheckObject:
    """The object."""
    check = answer.check
    assert check is not None  # `ask` answers with one
    chosen, matrix = answer.chosen, answer.matrix
    alike = [each for each in check.groups[0] if each != chosen] if check.groups else []
    return FeedcheckObject(
        feed_object(answer.origin),
        profile_object(answer.origin),
        tuple(ReadingObject(w.value, r.code, r.code_pm) for w, r in answer.readings.items()),
        tuple(_hypothesis(each, matrix) for each in check.hypotheses),
        plain(verdict_words(check, answer.now)),
        check.is_certain,
        None if chosen is None else _delivery(chosen, matrix),
        tuple(_delivery(each, None) for each in alike),
        tuple(CostObject(each.place, each.stops, each.off_stops) for each in answer.costs),
        tuple(each.patch for each in answer.patches),
        tuple(each.value for each in answer.matrices),
        None if check.ask is None else check.ask.value,
        tuple(map(plain, advice_of(answer))),
        answer.doubts,
        tuple(answer.origin.warnings),
    )


def _delivery(of: Delivery, matrix: Matrix | None) -> DeliveryObject:
    return DeliveryObject(
        of.curve.name, of.carriage.value, of.range.value, None if matrix is None else matrix.value
    )


def _hypothesis(each: Hypothesis, matrix: Matrix | None) -> HypothesisObject:
    name, residuals = _delivery(each.delivery, matrix), each.residual_codes
    return HypothesisObject(
        name.curve,
        name.carriage,
        name.range,
        name.matrix,
        ResidualObject(
            residuals[What.CAP],
            residuals[What.CARD],
            residuals[What.CLIP],
            residuals.get(What.WHITE),
            residuals.get(What.DARK),
        ),
        each.beyond_codes,
        each.probability,
        each.possible,
    )
