"""The spot as an instrument: the view `picture` and the command `read`."""

from typing import Any

from firmware.answers.reading_words import reading_words
from firmware.answers.table import Line, Table, notes
from firmware.answers.terminal_numbers import (
    channels_words,
    percent_words,
    room_words,
    spot_words,
    stops_words,
)
from firmware.feeds.timecode import CountedFrom as TimeCodeOrigin
from firmware.instruments.contract import Instrument
from firmware.instruments.scene import Frames, Scene
from firmware.instruments.spot.answer import SpotAnswer
from firmware.profiles.model import Profile
from overlays.draw.layout.views import Arrangement, Over, Readings, View
from overlays.draw.moment.report import Report
from overlays.measure.counting.bands import Band, BandKind, code_band
from overlays.measure.range.range import share_in_band
from overlays.measure.range.range_reading import RangeReading, Thing
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.wording.numbers import UNKNOWN, stops_text
from overlays.wording.reasons import Bound

PICTURE = View("picture", Arrangement.PICTURE, Over.STRIPES, Readings.SPOT)


class Spot(Instrument[None, None, SpotAnswer]):
    """Mean light of a small area, and where the picture lies between clip and floor."""

    name = "spot"
    views = (PICTURE,)

    def settings(self, profile: Profile, rate: float) -> None:
        """It has none of its own."""

    def memory(self) -> None:
        """It keeps nothing."""

    def measure(self, scene: Scene, settings: None, memory: None) -> SpotAnswer:
        """The spots that were asked for, else the one there is, and the extremes."""
        spots = _spots(scene)
        truth, found = scene.truth, scene.range
        band, share = first_band(scene.profile), None
        warnings = [*scene.origin.warnings, *(() if found is None else found.warnings)]
        if band is None:
            warnings.append(
                "how much of the picture lies in a band is not known: the profile has no stripe "
                "around a level"
            )
        elif scene.frames is Frames.ONCE:
            share = share_in_band(scene.census, code_band(band, scene.yard), scene.yard)
        return SpotAnswer(
            scene.origin,
            spots,
            tuple(None if truth is None else truth(s.place, scene.frame) for s in spots),
            found,
            band,
            share,
            tuple(dict.fromkeys(warnings)),
        )

    def rests_on(self, scene: Scene, settings: None) -> tuple[SpotPlace, ...]:
        """The spots."""
        return tuple(pin.place for pin in scene.desk.pins) or (scene.place,)

    def report(self, answer: SpotAnswer) -> Report | None:
        """None: its views have readings of their own."""
        return None

    def figure(self, answer: SpotAnswer) -> str:
        """Stops of the spot."""
        return f"{stops_text(answer.spots[0].stops)} st" if answer.spots else UNKNOWN

    def words(self, answer: SpotAnswer) -> dict[str, str]:
        """The first spot, and the extremes."""
        if not answer.spots or answer.range is None:
            return {"": "the spot cannot be read"}
        return reading_words(answer.spots[0], answer.range)

    def lines(self, answer: SpotAnswer) -> list[Line]:
        """What was read, a table of the spots, the extremes."""
        origin = answer.origin
        signal, profile = origin.signal, origin.profile
        heading = (
            f"{origin.feed_name}, frame {origin.number}{_timecode(answer)}: "
            f"{origin.columns}x{origin.rows}, "
            f"{signal.bits} bit {signal.range.value} {signal.matrix.value}; "
            f"{profile.curve.name}, carriage {profile.laid.value}, {profile.name}"
        )
        of_spots = [
            f"spot {place}: {warning}"
            for place, spot in enumerate(answer.spots, start=1)
            for warning in spot.warnings
        ]
        extremes = [] if answer.range is None else _extremes(answer, answer.range)
        return [heading, _table(answer), *extremes, *notes([*answer.warnings, *of_spots])]


def _spots(scene: Scene) -> tuple[SpotReading, ...]:
    if scene.frames is not Frames.ONCE:
        return () if scene.spot is None else (scene.spot,)
    places = [pin.place for pin in scene.desk.pins] or [scene.place]
    return tuple(scene.read(place) for place in places)


def first_band(profile: Profile) -> Band | None:
    """The band whose share of the picture is counted."""
    return next((band for band in profile.stripes if band.kind is BandKind.AROUND), None)


def _timecode(answer: SpotAnswer) -> str:
    """The frame's time code where the file has one."""
    code = answer.origin.info.timecode
    if code is None or code.origin is not TimeCodeOrigin.FILE:
        return ""
    return f" ({answer.origin.timecode})"


def _table(answer: SpotAnswer) -> Table:
    known = any(truth is not None for truth in answer.truths)
    rows = []
    for place, (spot, truth) in enumerate(zip(answer.spots, answer.truths, strict=True), 1):
        at = spot.place
        cells = [
            spot_words(spot, unit=False),
            percent_words(spot.percent, spot.percent_pm).removesuffix(" %"),
            channels_words(spot.rgb_stops, spot.rgb_bounds),
            f"{100 * spot.clipped:.0f} %",
        ]
        if known:
            cells.append("" if truth is None else stops_words(_finite(truth.stops), unit=False))
        rows.append((*cells, f"{place}: {at.column},{at.row},{at.size}"))
    of_truth = ("truth",) if known else ()
    headings = ("stops", "percent", "R G B stops", "clipped", *of_truth, "spot: X,Y,SIZE")
    return Table(headings, tuple(rows), left=(len(headings) - 1,), bold=(0,))


def _finite(value: float) -> float | None:
    return value if abs(value) < float("inf") else None


def _extremes(answer: SpotAnswer, found: RangeReading) -> list[Line]:
    shares = " ".join(f"{100 * share:.1f}" for share in found.clipped_rgb)
    last = f"Clipped R G B {shares} % of the picture"
    if answer.in_band is not None and answer.band is not None:
        last += f"; {100 * answer.in_band:.1f} % of it lies within {answer.band}"
    bright = _thing_line(
        "Brightest",
        found.brightest,
        "headroom",
        found.headroom_stops,
        Bound.AT_LEAST if found.headroom_stops == 0.0 else None,
    )
    return [
        f"{bright}{_why_room(found)}",
        _thing_line(
            "Darkest", found.darkest, "footroom", found.footroom_stops, found.darkest.bound
        ),
        last,
    ]


def _why_room(found: RangeReading) -> str:
    """Which channel's headroom it is, and the clip where that was found in the picture."""
    if not found.fullest:
        return ""
    channels = found.clipped_channels
    said = f"of {found.fullest}"
    if channels:
        said = f"{channels} {'clips' if len(channels) == 1 else 'clip'}"
    top = found.flat_top
    if top is not None and (channels or found.fullest)[0] in top.channels:
        said += ", by a clip found from the picture"
    return f" ({said})"


def _thing_line(what: str, thing: Thing, room: str, left: float | None, bound: Bound | None) -> str:
    where = f"{thing.column},{thing.row}"
    read = stops_words(thing.stops, bound=bound)
    return f"{what} {read} at {where}, {room} {room_words(left)}"


INSTRUMENT: Instrument[Any, Any, Any] = Spot()
