"""The object that `expose --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.answers.place_object import centre_of, sides_of
from firmware.answers.share_object import ShareObject
from firmware.instruments.advice.answer import AdviceAnswer
from overlays.measure.expose.advice import Move
from overlays.measure.expose.sequences import Setting
from overlays.wording.reasons import Bound


@dataclass(frozen=True, slots=True)
class CardObject:
    """The card that was read."""

    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    percent: float | None = said("mean video level")
    percent_pm: float | None = said("its half width at 95 %")
    stops: float | None = said("stops from mid-grey")
    stops_pm: float | None = said("its half width at 95 %; null where (perhaps) clipped or cut off")
    at_least: bool = said("whether stops is only a lower bound: the spot is clipped")
    at_most: bool = said("whether stops is only an upper bound: the spot is cut off below")


@dataclass(frozen=True, slots=True)
class MoveObject:
    """One control moved."""

    control: str = said('"nd", "aperture", "iso", "shutter"')
    from_: float | int | str = said("as the command line takes it")
    to: float | int | str = said("as the command line takes it")
    steps: int = said("settings moved; positive is towards more light")
    change_stops: float = said("what it does to the light")
    residual_stops: float = said("what off_stops will be then, for a variable ND")
    notes: tuple[str, ...] = said("what else changes")


@dataclass(frozen=True, slots=True)
class ForecastObject:
    """What the extremes will be."""

    change_stops: float = said(
        "of the first move, of all in together, or of the light that is missing"
    )
    brightest: float | None = said("stops")
    brightest_pm: float | None = said("its half width at 95 %; null where it will be clipped")
    brightest_at_least: bool = said("whether brightest is only a lower bound: it will be clipped")
    darkest: float | None = said("stops")
    darkest_pm: float | None = said("its half width at 95 %")
    clips: bool | None = said("whether anything will clip")
    sinks: bool | None = said("whether the darkest will lie below the floor")
    clipped: ShareObject | None = said("shares of the picture that will be clipped")
    channels: str = said("those in which something will clip, of R, G and B; empty for none")


@dataclass(frozen=True, slots=True)
class AdviceObject:
    """The answer of `expose --json`."""

    feed: FeedObject
    profile: ProfileObject
    spot: CardObject
    target: str = said("where the spot belongs")
    off_stops: float | None = said(
        "how far above the target the spot is, in stops of light; null where clipped or dark"
    )
    pm: float | None = said("its half width at 95 %")
    moves: tuple[MoveObject, ...] = said("alternatives, the best first")
    together: tuple[MoveObject, ...] = said("moves to be made one after the other")
    advice: str = said("the whole in one sentence")
    forecast: ForecastObject = said("after them")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: AdviceAnswer) -> AdviceObject:
    """The object."""
    spot, forecast = answer.spot, answer.forecast
    assert spot is not None  # a command's spot is read, or refused before
    assert forecast is not None  # the same of its range
    shares, place = forecast.clipped_rgb, spot.place
    return AdviceObject(
        feed_object(answer.origin),
        profile_object(answer.origin),
        CardObject(
            *centre_of(place),
            spot.percent,
            spot.percent_pm,
            spot.stops,
            spot.stops_pm,
            *sides_of(spot.bound),
        ),
        str(answer.standing.target),
        answer.off_stops,
        answer.pm,
        tuple(_move(move) for move in answer.moves),
        tuple(_move(move) for move in answer.together),
        answer.words,
        ForecastObject(
            answer.change_stops,
            forecast.brightest_stops,
            forecast.brightest_pm,
            forecast.brightest_bound is Bound.AT_LEAST,
            forecast.darkest_stops,
            forecast.darkest_pm,
            forecast.clips,
            forecast.sinks,
            None if shares is None else ShareObject(*shares),
            forecast.channels,
        ),
        answer.warnings,
    )


def _move(move: Move) -> MoveObject:
    return MoveObject(
        move.kind.value,
        _value(move.start),
        _value(move.to),
        move.steps,
        move.change_stops,
        move.residual_stops,
        tuple(move.notes),
    )


def _value(setting: Setting) -> float | int | str:
    """As the command line takes it: a whole number without a point."""
    value = setting.value
    return int(value) if isinstance(value, float) and value.is_integer() else value
