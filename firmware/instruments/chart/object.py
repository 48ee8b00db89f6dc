"""The object that `chart --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass, fields

from firmware.answers.cleaner import absent, said
from firmware.answers.origin_object import (
    FeedObject,
    ProfileObject,
    colour_profile_object,
    feed_object,
)
from firmware.instruments.chart.answer import ChartAnswer, Look
from overlays.measure.chart.chart_patch import PatchReading
from overlays.measure.chart.looks import HueChange, LooksCompared, PatchChange


@dataclass(frozen=True, slots=True)
class PatchObject:
    """One patch."""

    name: str
    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    rgb_linear: tuple[float, ...] = said("mean linear light of R, G and B, as it was read")
    lab: tuple[float, ...] | None = said("L*, a*, b* once scaled; null where clipped")
    reference_lab: tuple[float, ...] = said("what it should be")
    de00: float | None = said("CIEDE2000 between the two")
    de00_pm: float | None = said("its half width at 95 %")
    hue_error_deg: float | None = said("how far its hue is turned; null of greys")
    chroma_ratio: float | None = said("its chroma against the reference's; null of greys")
    stops_off: float | None = said("its luminance against the reference's, in stops")
    r_stops: float | None = said("red above green, in stops, against the reference")
    b_stops: float | None = said("blue above green, in stops, against the reference")
    clipped: float = said("share of its pixels that is clipped, 0 to 1")
    why: str | None = said("why what it has no number for is null, in words; null where it has all")


@dataclass(frozen=True, slots=True)
class HueObject:
    """The patches of one hue under two looks, the second against the first."""

    hue: str
    patches: int = said("how many")
    saturation: float = said("factor of chroma, their geometric mean")
    turn_deg: float = said("how far the hue is turned, their mean")
    lightness: float = said("L* gained, their mean")


@dataclass(frozen=True, slots=True)
class ChangeObject:
    """One patch under two looks, the second against the first."""

    name: str
    hue: str = said('the reference\'s; "neutral" of greys')
    saturation: float | None = said("factor of chroma; null of greys")
    turn_deg: float | None = said("how far the hue is turned; null of greys")
    lightness: float = said("L* gained")
    de00: float = said("CIEDE2000 between the two")


@dataclass(frozen=True, slots=True)
class LooksObject:
    """Two looks compared."""

    mean_de00: float = said("mean CIEDE2000 of the patches that both hold")
    hues: tuple[HueObject, ...] = said("those that the chart has patches of")
    patches: tuple[ChangeObject, ...] = said("those that both hold")
    warnings: tuple[str, ...] = said("sentences")


@dataclass(frozen=True, slots=True)
class LookObject:
    """A chart that was read."""

    feed: FeedObject
    profile: ProfileObject
    chart: str = said("name of the reference")
    edition: str | None = said("which make of it; null where there is one")
    lab_white: str = said('the white of L*, a*, b*: "D65"')
    scaled_to: str = said('"neutrals" or "exposure"')
    gains: tuple[float, ...] = said("what R, G and B were multiplied by before they were compared")
    held: str = said("which way the chart is held")
    corners: tuple[tuple[float, float], ...] = said("X, Y in the chart's own order")
    patches: tuple[PatchObject, ...] = said("in the order of the reference")
    mean_de00: float = said("mean CIEDE2000 of the patches that are not clipped")
    worst: str = said("name of the patch furthest off")
    neutral_stops: tuple[float | None, ...] = said("the greys from light to dark, stops off")
    evenness_stops: float = said("how much the light falls across the chart")
    evenness_pm: float | None = said("its half width at 95 %")
    middle_stops: float = said("how much lighter the chart's middle is lit than its corners")
    tones_stops: float = said("how far tones are off from the lightest to the darkest patch")
    warnings: tuple[str, ...] = said("sentences")


@dataclass(frozen=True, slots=True)
class ChartObject(LookObject):
    """The answer of `chart --json`."""

    against: LookObject | None = absent("with --against: the chart under the other look")
    looks: LooksObject | None = absent("with --against: the two compared")


def object_of(answer: ChartAnswer) -> ChartObject:
    """The object of a chart that was read; of two looks the first, with the second behind."""
    first = _look(answer.look)
    return ChartObject(
        **{each.name: getattr(first, each.name) for each in fields(first)},
        against=None if answer.against is None else _look(answer.against),
        looks=None if answer.looks is None else _looks(answer.looks),
    )


def _look(look: Look) -> LookObject:
    reading = look.reading
    return LookObject(
        feed=feed_object(look.origin),
        profile=colour_profile_object(look.origin),
        chart=reading.reference.name,
        edition=reading.reference.edition or None,
        lab_white="D65",
        scaled_to=reading.scaling.value,
        gains=reading.gains,
        held=reading.held.value,
        corners=reading.corners.points,
        patches=tuple(_patch(patch) for patch in reading.patches),
        mean_de00=reading.mean_de00,
        worst=reading.worst.name,
        neutral_stops=tuple(reading.patches[n].stops_off for n in reading.neutrals),
        evenness_stops=reading.evenness.fall_stops,
        evenness_pm=reading.evenness.fall_pm,
        middle_stops=reading.evenness.middle_stops,
        tones_stops=reading.evenness.tones_stops,
        warnings=look.warnings,
    )


def _patch(patch: PatchReading) -> PatchObject:
    place = patch.spot.place
    return PatchObject(
        name=patch.name,
        x=place.column,
        y=place.row,
        size=place.size,
        rgb_linear=patch.rgb_linear,
        lab=patch.lab,
        reference_lab=patch.reference_lab,
        de00=patch.de00,
        de00_pm=patch.de00_pm,
        hue_error_deg=patch.hue_error_deg,
        chroma_ratio=patch.chroma_ratio,
        stops_off=patch.stops_off,
        r_stops=patch.r_stops,
        b_stops=patch.b_stops,
        clipped=patch.clipped,
        why=None if patch.why is None else patch.why.words,
    )


def _looks(looks: LooksCompared) -> LooksObject:
    return LooksObject(
        looks.mean_de00,
        tuple(_hue(hue) for hue in looks.hues),
        tuple(_change(patch) for patch in looks.patches),
        looks.warnings,
    )


def _hue(hue: HueChange) -> HueObject:
    return HueObject(hue.hue, hue.patches, hue.saturation, hue.turn_deg, hue.lightness)


def _change(patch: PatchChange) -> ChangeObject:
    return ChangeObject(
        patch.name, patch.hue, patch.saturation, patch.turn_deg, patch.lightness, patch.de00
    )
