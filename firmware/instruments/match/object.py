"""The object that `match --json` makes of its answer; loaded only where it is asked for."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

from firmware.answers.cleaner import said
from firmware.answers.origin import Origin
from firmware.answers.origin_object import FeedObject, ProfileObject, feed_object, profile_object
from firmware.answers.place_object import sides_of
from firmware.instruments.match.answer import MatchAnswer, Taken, worst_left
from overlays.measure.match.match import Match, Pair
from overlays.measure.match.match_words import match_words
from overlays.measure.match.remainder import Remainder
from overlays.measure.spot.spot import SpotReading


@dataclass(frozen=True, slots=True)
class CameraObject:
    """One camera: what was read, and with what."""

    feed: FeedObject
    profile: ProfileObject


@dataclass(frozen=True, slots=True)
class PlaceObject:
    """A pin on one camera."""

    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    stops: float | None = said("stops from mid-grey; null where there is no light")
    at_least: bool = said("whether stops is only a lower bound: the pin is clipped")
    at_most: bool = said("whether stops is only an upper bound: the pin is cut off below")


@dataclass(frozen=True, slots=True)
class ChannelsObject:
    """One number for each channel."""

    r: float | None
    g: float | None
    b: float | None


@dataclass(frozen=True, slots=True)
class PairObject:
    """One pin on both cameras, B against A."""

    pin: int = said("its number")
    a: PlaceObject = said("on camera A")
    b: PlaceObject = said("on camera B")
    difference_stops: ChannelsObject | None = said("null where `why_not` says why")
    difference_pm: ChannelsObject | None = said("its half width at 95 %")
    luminance_stops: float | None = said("the same of luminance")
    remains_stops: ChannelsObject | None = said("what exposure and balance leave of it")
    why_not: str | None = said("why the pin does not count, in words; null where it does")


@dataclass(frozen=True, slots=True)
class GainsObject:
    """What B's balance needs."""

    r_stops: float | None = said("gain to add on red against green")
    b_stops: float | None = said("gain to add on blue against green")
    pm: float | None = said("their half width at 95 %")
    dial_to: float | None = said("kelvin to dial; null where it is not known what is dialled now")
    dial_to_pm: float | None = said("its half width at 95 %")
    tint: float | None = said("thousandths of Duv to add, positive towards magenta")


@dataclass(frozen=True, slots=True)
class CdlObject:
    """What remains, as an ASC CDL."""

    slope: tuple[float, ...] = said("of R, G, B")
    offset: tuple[float, ...] = said("of R, G, B")
    power: tuple[float, ...] = said("of R, G, B")
    saturation: float = said("1 leaves it as it is")
    signal: str = said("the curve whose signal, 0 to 1, its numbers are meant for")
    leaves_stops: float | None = said("the most it leaves in any channel of a pin")
    elsewhere_stops: float | None = said(
        "what it may leave in things between the darkest and the lightest pin; null of a single pin"
    )


@dataclass(frozen=True, slots=True)
class MatchObject:
    """The answer of `match --json`."""

    a: CameraObject = said("camera A, which stays")
    b: CameraObject = said("camera B, which is brought to A")
    pins: tuple[PairObject, ...] = said("in the order of --at")
    exposure_stops: float | None = said("light to add on B, once its balance is as said")
    exposure_pm: float | None = said("its half width at 95 %")
    balance: GainsObject = said("what B's red and blue need")
    remains_stops: float | None = said("the most that is left in any channel of a pin")
    cdl: CdlObject | None = said("what remains; null where no pin can be compared")
    cdl_whole: CdlObject | None = said("the whole difference, for footage that was shot already")
    advice: tuple[str, ...] = said("sentences")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: MatchAnswer) -> MatchObject:
    """The object; what cannot be known has a sentence saying so."""
    compared = answer.compared
    assert compared is not None  # `ask` takes camera A first
    found = compared.match
    return MatchObject(
        a=_camera_a(compared.a),
        b=_camera(answer.origin),
        pins=tuple(
            _pair(number, pair, _remains(found, place))
            for place, (number, pair) in enumerate(zip(compared.numbers, found.pairs, strict=True))
        ),
        exposure_stops=found.exposure_stops,
        exposure_pm=found.exposure_pm,
        balance=GainsObject(
            found.r_stops,
            found.b_stops,
            found.balance_pm,
            found.dial_to,
            found.dial_pm,
            found.tint,
        ),
        remains_stops=found.worst_stops,
        cdl=_cdl(answer, answer.rest),
        cdl_whole=_cdl(answer, answer.whole),
        advice=match_words(found),
        warnings=answer.warnings,
    )


def _camera_a(a: Taken) -> CameraObject:
    """Camera A, which another unit may read: that has said what and with what."""
    if a.origin is not None:
        return _camera(a.origin)
    said = {} if a.unit is None else dict(a.unit.camera)
    said["name"] = said.pop("feed")
    feed = FeedObject(**{each.name: said[each.name] for each in fields(FeedObject)})
    return CameraObject(feed, ProfileObject(said["profile"], said["curve"], said["carriage"]))


def _camera(origin: Origin) -> CameraObject:
    return CameraObject(feed_object(origin), profile_object(origin))


def _place(spot: SpotReading) -> PlaceObject:
    return PlaceObject(
        spot.place.column,
        spot.place.row,
        spot.stops,
        *sides_of(spot.bound),
    )


def _channels(values: Sequence[float] | None) -> ChannelsObject | None:
    return None if values is None else ChannelsObject(values[0], values[1], values[2])


def _remains(found: Match, place: int) -> Sequence[float] | None:
    """What is left of the pair at a place; None where it does not count."""
    if found.remains_stops is None or found.pairs[place].rgb_stops is None:
        return None
    left: list[float] = found.remains_stops[place].tolist()
    return left


def _pair(number: int, pair: Pair, remains: Sequence[float] | None) -> PairObject:
    return PairObject(
        number,
        _place(pair.a),
        _place(pair.b),
        _channels(pair.rgb_stops),
        _channels(pair.rgb_pm),
        pair.luminance_stops,
        _channels(remains),
        pair.why_not or None,
    )


def _cdl(answer: MatchAnswer, rest: Remainder | None) -> CdlObject | None:
    if rest is None:
        return None
    cdl = rest.cdl
    return CdlObject(
        cdl.slope,
        cdl.offset,
        cdl.power,
        cdl.saturation,
        answer.origin.profile.curve.name,
        worst_left(rest),
        rest.elsewhere_stops,
    )
