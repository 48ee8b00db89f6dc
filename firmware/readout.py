"""A whole reading of one frame, and the public object `read --json` makes of it (schema 1).

The keys are a public interface, documented in README.md: new ones may come, none changes or goes
without another schema number. What cannot be known is None, with a warning that says why; no
number in it is ever infinite or "not a number".
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, runtime_checkable

from firmware.feeds.base import FeedInfo
from firmware.profiles.model import NO_PROFILE, Profile
from overlays.measure.counting.bands import Band, BandKind, code_band
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import FlatTop, spot_sentence
from overlays.measure.range.range import RangeReading, Thing, read_range
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.signal import Signal

SCHEMA = 1


class Truth(Protocol):
    """What a spot of the bench truly is."""

    @property
    def percent(self) -> float:
        """Video level."""
        ...

    @property
    def stops(self) -> float:
        """Stops from mid-grey; not finite where there is no light."""
        ...


@runtime_checkable
class KnowsTruth(Protocol):
    """A feed whose scene is known: the bench."""

    def truth(self, place: SpotPlace, frame: Frame) -> Truth:
        """What a spot of a frame truly is."""
        ...


@dataclass(frozen=True, slots=True)
class Readout:
    """Everything that is said of one frame.

    Attributes
    ----------
    info, profile:
        Of the feed, and what it was read with.
    signal, columns, rows, frame:
        Of the frame: how its codes were read, its size and its number.
    spots, truths:
        Readings in the order asked for, and what each truly is where the feed knows.
    range:
        The frame's extremes.
    band:
        The band whose share `range.in_band` is: the profile's first around a level.
    warnings:
        Of the feed, the choice of profile and the frame; those of a spot are with it.
    """

    info: FeedInfo
    profile: Profile
    signal: Signal
    columns: int
    rows: int
    frame: int
    spots: tuple[SpotReading, ...]
    truths: tuple[Truth | None, ...]
    range: RangeReading
    band: Band | None
    warnings: tuple[str, ...]


def first_band(profile: Profile) -> Band | None:
    """The band whose share of the picture is counted."""
    return next((band for band in profile.stripes if band.kind is BandKind.AROUND), None)


def _read_spot(
    frame: Frame, yard: Yardstick, place: SpotPlace, flat_top: FlatTop | None
) -> SpotReading:
    """A spot; one that lies at the picture's flat top says so."""
    spot = read_spot(frame, yard, place)
    channels = "" if flat_top is None else flat_top.holds(spot, yard)
    if not channels:
        return spot
    return replace(spot, warnings=(*spot.warnings, spot_sentence(channels)))


def take_readout(
    frame: Frame,
    info: FeedInfo,
    profile: Profile,
    places: Sequence[SpotPlace],
    *,
    yard: Yardstick | None = None,
    truth: Callable[[SpotPlace, Frame], Truth] | None = None,
) -> Readout:
    """Measure one frame.

    Parameters
    ----------
    frame, info, profile, places:
        What to measure, where and with what.
    yard:
        The profile's yardstick for the frame's signal, where the caller keeps it.
    truth:
        Of a feed that knows it.

    Raises
    ------
    SpotOutsideError
        A spot sticks out of the picture.
    BandError
        The profile's band holds no code of this signal.
    """
    yard = profile.yardstick(frame.signal, frame.shift) if yard is None else yard
    band = first_band(profile)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CLIPPING | Wants.RGB)
    reading = read_range(
        frame,
        yard,
        census,
        profile.speck_percent,
        None if band is None else code_band(band, yard),
    )
    spots = tuple(_read_spot(frame, yard, place, reading.flat_top) for place in places)
    notes = [note for note in frame.notes if not any(note in each for each in info.warnings)]
    said = [*info.warnings, *notes, *reading.warnings]
    if band is None:
        said.append("in_band unknown: no profile with a band around a level was given")
    return Readout(
        info=info,
        profile=profile,
        signal=frame.signal,
        columns=frame.columns,
        rows=frame.rows,
        frame=frame.number,
        spots=spots,
        truths=tuple(None if truth is None else truth(place, frame) for place in places),
        range=reading,
        band=band,
        warnings=tuple(dict.fromkeys(said)),
    )


def as_object(readout: Readout) -> dict[str, Any]:
    """The object of `read --json`: only dict, list, str, bool, int, finite float and None."""
    warnings = list(readout.warnings)
    size = (readout.columns, readout.rows)
    return {
        "schema": SCHEMA,
        "feed": feed_object(readout.info, readout.signal, size, readout.frame),
        "profile": profile_object(readout.profile),
        "spots": [
            _spot(spot, truth) for spot, truth in zip(readout.spots, readout.truths, strict=True)
        ],
        "frame": _frame(readout, warnings),
        "warnings": warnings,
    }


def feed_object(
    info: FeedInfo, signal: Signal, size: tuple[int, int], number: int
) -> dict[str, Any]:
    """What was read: the feed, the (columns, rows) of its picture, and the frame's number."""
    code = info.timecode
    return {
        "name": info.name,
        "width": size[0],
        "height": size[1],
        "bits": signal.bits,
        "range": signal.range.value,
        "matrix": signal.matrix.value,
        "components": signal.components.value,
        "subsampling": signal.subsampling.value,
        "lossy": signal.lossy,
        "frame": number,
        "timecode": None if code is None else code.at(number),
        "timecode_from": None if code is None else code.origin.value,
    }


def profile_object(profile: Profile) -> dict[str, Any]:
    """What it was read with."""
    return {
        "name": None if profile.name == NO_PROFILE else profile.name,
        "curve": profile.curve.name,
        "carriage": profile.laid.value,
    }


def finite(number: float | None) -> float | None:
    """A finite number, rounded to what is far below any ±; else None."""
    if number is None or not math.isfinite(number):
        return None
    return round(float(number), 6) + 0.0  # + 0.0: minus zero is zero


def _known(number: float | None, what: str, warnings: list[str]) -> float | None:
    """A finite number, or None and a word about it where nothing was said yet."""
    known = finite(number)
    if known is None and not any(what in each for each in warnings):
        warnings.append(f"{what} unknown: no light above black")
    return known


def _spot(spot: SpotReading, truth: Truth | None) -> dict[str, Any]:
    warnings = list(spot.warnings)  # the spot says itself why it has no stops
    out: dict[str, Any] = {
        "x": spot.place.column,
        "y": spot.place.row,
        "size": spot.place.size,
        "height": spot.place.rows,
        "percent": _known(spot.percent, "percent", warnings),
        "percent_pm": _known(spot.percent_pm, "percent_pm", warnings),
        "stops": finite(spot.stops),
        "stops_pm": finite(spot.stops_pm),
        "rgb_stops": [
            _known(value, f"stops of {channel}", warnings)
            for value, channel in zip(spot.rgb_stops, "RGB", strict=True)
        ],
        "code": [_known(value, "code", warnings) for value in spot.code],
        "clipped": _known(spot.clipped, "clipped", warnings),
        "below_floor": _known(spot.below_floor, "below_floor", warnings),
    }
    if truth is not None:
        out["truth"] = {
            "percent": _known(truth.percent, "truth of percent", warnings),
            "stops": _known(truth.stops, "truth of stops", warnings),
        }
    return {**out, "warnings": warnings}


def _thing(thing: Thing, what: str, warnings: list[str]) -> dict[str, Any]:
    return {
        "x": thing.column,
        "y": thing.row,
        "size": thing.size,
        "percent": _known(thing.percent, f"percent of the {what}", warnings),
        "stops": _known(thing.stops, f"stops of the {what}", warnings),
    }


def _frame(readout: Readout, warnings: list[str]) -> dict[str, Any]:
    found = readout.range
    share = found.in_band
    return {
        "brightest": _thing(found.brightest, "brightest thing", warnings),
        "darkest": _thing(found.darkest, "darkest thing", warnings),
        "headroom": _known(found.headroom_stops, "headroom", warnings),
        "footroom": _known(found.footroom_stops, "footroom", warnings),
        "clipped": {
            channel: _known(value, "clipped", warnings)
            for channel, value in zip("rgb", found.clipped_rgb, strict=True)
        },
        "in_band": finite(share),
        "band": None if readout.band is None else str(readout.band),
    }
