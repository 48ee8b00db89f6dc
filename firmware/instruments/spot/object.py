"""The object that `read --json` makes of its answer; loaded only where it is asked for."""

import math
from dataclasses import dataclass

from firmware.answers.cleaner import absent, finite, said
from firmware.answers.origin_object import (
    FeedObject,
    ProfileObject,
    feed_object,
    profile_object,
)
from firmware.answers.place_object import centre_of, sides_of
from firmware.answers.share_object import ShareObject
from firmware.instruments.scene import Truth
from firmware.instruments.spot.answer import SpotAnswer
from overlays.measure.range.range_reading import RangeReading, Thing
from overlays.measure.spot.spot import SpotReading
from overlays.wording.reasons import Bound, Reason


@dataclass(frozen=True, slots=True)
class TruthObject:
    """What a spot truly has."""

    percent: float | None = said("video level")
    stops: float | None = said("stops from mid-grey")


@dataclass(frozen=True, slots=True)
class SpotObject:
    """One spot."""

    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    height: int = said("rows in pixels")
    percent: float | None = said("mean video level")
    percent_pm: float | None = said(
        "its half width at 95 %; null where part of it is clipped, or it may be"
    )
    stops: float | None = said("stops of the mean light from mid-grey")
    stops_pm: float | None = said("its half width at 95 %; null where (perhaps) clipped or cut off")
    at_least: bool = said("whether stops is only a lower bound: the spot is clipped")
    at_most: bool = said("whether stops is only an upper bound: the spot is cut off below")
    rgb_stops: tuple[float | None, ...] = said("stops of R, G and B")
    rgb_stops_pm: tuple[float | None, ...] = said(
        "their half widths at 95 %; null where unknowable"
    )
    rgb_at_least: tuple[bool, ...] = said("whether those of R, G and B are only lower bounds")
    code: tuple[float, ...] = said("mean native codes: Y', Cb, Cr or R', G', B'")
    clipped: float = said("share of the spot's pixels that is clipped, 0 to 1")
    may_clip: str = said("channels in which the camera may clip it, of R, G, B: then no ±")
    below_floor: float = said("share of the spot's pixels below the floor, 0 to 1")
    truth: TruthObject | None = absent("on the bench only: what the spot truly has")
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ThingObject:
    """An extreme that matters."""

    x: int = said("pixels from the left")
    y: int = said("pixels from the top")
    size: int = said("edge in pixels")
    percent: float | None = said("mean video level")
    stops: float | None = said("stops from mid-grey")
    at_least: bool = said("whether stops is only a lower bound: it is clipped")


@dataclass(frozen=True, slots=True)
class ClipObject:
    """The clip of one channel."""

    percent: float | None = said("its level")
    stops: float | None = said("the same in stops from mid-grey")
    found: bool = said("whether it is a ceiling of the camera that was found in the picture")


@dataclass(frozen=True, slots=True)
class ClipsObject:
    """The clip of each channel."""

    r: ClipObject
    g: ClipObject
    b: ClipObject


@dataclass(frozen=True, slots=True)
class RangeObject:
    """The frame as a whole."""

    brightest: ThingObject
    darkest: ThingObject
    headroom: float | None = said("stops from the brightest thing's fullest channel to its clip")
    footroom: float | None = said("stops from the darkest thing to the profile's floor")
    clipped: ShareObject = said("shares of the picture at the clip, 0 to 1")
    in_band: float | None = said("share of the picture in the band, 0 to 1")
    band: str | None = said("the profile's first band around a level")
    headroom_channel: str | None = said("R, G or B: whose headroom that is")
    headroom_rgb: tuple[float | None, ...] = said("stops from the brightest thing's R, G, B to it")
    brightest_clipped: str = said("channels in which the brightest thing is clipped, of R, G, B")
    clip: ClipsObject = said("what all this goes by")


@dataclass(frozen=True, slots=True)
class ReadObject:
    """The answer of `read --json`."""

    feed: FeedObject
    profile: ProfileObject
    spots: tuple[SpotObject, ...] = said("in the order of --at")
    frame: RangeObject | None = said("null where its extremes cannot be found")
    warnings: tuple[str, ...] = said("sentences about feed, profile and frame")


def object_of(answer: SpotAnswer) -> ReadObject:
    """The object; what cannot be known has a sentence saying so."""
    warnings = list(answer.warnings)
    spots = tuple(
        _spot(spot, truth) for spot, truth in zip(answer.spots, answer.truths, strict=True)
    )
    frame = None if answer.range is None else _frame(answer, answer.range, warnings)
    return ReadObject(
        feed_object(answer.origin),
        profile_object(answer.origin),
        spots,
        frame,
        tuple(warnings),
    )


def _unknown(number: float | None, what: str, warnings: list[str]) -> None:
    """A word about a number that is not known, where nothing was said yet."""
    if finite(number) is None and not any(what in each for each in warnings):
        warnings.append(f"{what} unknown: {Reason.NO_LIGHT.words} above black")


def _spot(spot: SpotReading, truth: Truth | None) -> SpotObject:
    warnings = list(spot.warnings)  # the spot says itself why it has no stops
    for value, channel in zip(spot.rgb_stops, "RGB", strict=True):
        _unknown(value, f"stops of {channel}", warnings)
    if truth is not None and not math.isfinite(truth.stops):
        warnings.append("truth of stops unknown: no light above black")
    return SpotObject(
        *centre_of(spot.place),
        spot.place.rows,
        spot.percent,
        spot.percent_pm,
        spot.stops,
        spot.stops_pm,
        *sides_of(spot.bound),
        spot.rgb_stops,
        spot.rgb_stops_pm,
        tuple(bound is Bound.AT_LEAST for bound in spot.rgb_bounds),
        spot.code,
        spot.clipped,
        spot.may_clip,
        spot.below_floor,
        None if truth is None else TruthObject(truth.percent, truth.stops),
        tuple(warnings),
    )


def _thing(
    thing: Thing, what: str, warnings: list[str], *, is_clipped: bool = False
) -> ThingObject:
    _unknown(thing.percent, f"percent of the {what}", warnings)
    _unknown(thing.stops, f"stops of the {what}", warnings)
    return ThingObject(
        thing.column, thing.row, thing.size, thing.percent, thing.stops, at_least=is_clipped
    )


def _clips(answer: SpotAnswer, found: RangeReading) -> ClipsObject:
    profile, signal = answer.origin.profile, answer.origin.signal
    carried = profile.yardstick(signal).carried
    known = (None, None, None) if found.flat_top is None else found.flat_top.percents
    red, green, blue = (
        ClipObject(percent, carried.percent_to_stops(percent), is_found is not None)
        for percent, is_found in zip(found.clip_percents, known, strict=True)
    )
    return ClipsObject(red, green, blue)


def _frame(answer: SpotAnswer, found: RangeReading, warnings: list[str]) -> RangeObject:
    made = RangeObject(
        brightest=_thing(
            found.brightest,
            "brightest thing",
            warnings,
            is_clipped=found.headroom_stops == 0.0,
        ),
        darkest=_thing(
            found.darkest,
            "darkest thing",
            warnings,
            is_clipped=found.darkest.bound is Bound.AT_LEAST,
        ),
        headroom=found.headroom_stops,
        footroom=found.footroom_stops,
        clipped=ShareObject(*found.clipped_rgb),
        in_band=answer.in_band,
        band=None if answer.band is None else str(answer.band),
        headroom_channel=found.fullest or None,
        headroom_rgb=found.headroom_rgb,
        brightest_clipped=found.clipped_channels,
        clip=_clips(answer, found),
    )
    _unknown(made.headroom, "headroom", warnings)
    for room, channel in zip(made.headroom_rgb, "RGB", strict=True):
        _unknown(room, f"headroom of {channel}", warnings)
    _unknown(made.footroom, "footroom", warnings)
    return made
