"""From a copy of a moment to what is published of it; in the kit's own thread."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from firmware.answers.cleaner import finite
from firmware.answers.origin import origin_of
from firmware.answers.origin_object import feed_object
from firmware.clock import day_of, iso_utc
from firmware.controls.saying import Saying
from firmware.instruments.desk import PinPlace
from firmware.kit.payloads import CameraPart, KitReading, PinPart
from firmware.kit.spots import pin_part, plain, sentences
from firmware.opening.read_with import ReadWith
from overlays.draw.moment.shown import BELIEVED, Face
from overlays.errors import OverlayError
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.expose.side import Goal, Judgement
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame


@dataclass(frozen=True, slots=True, eq=False)
class PictureCopy:
    """What numbers are taken from: a frame of its own, and what it is read with."""

    frame: Frame
    yard: Yardstick
    read_with: ReadWith
    place: SpotPlace
    spot: SpotReading | None
    pins: tuple[PinPlace, ...]


@dataclass(frozen=True, slots=True, eq=False)
class MomentCopy:
    """A moment as it was painted.

    Attributes
    ----------
    at_ns, wall_s:
        When that was: on the unit's clock, and the time of day.
    face, face_words, view, goal, alert, warnings:
        As they stood on the screen.
    saying, judged:
        What a lamp says of it, and on which side of its goal the spot is.
    watch:
        What the light does; empty where nobody watches it.
    picture:
        None where nothing can be read.
    """

    at_ns: int
    wall_s: float
    face: Face
    face_words: str
    view: str
    goal: Goal
    alert: str | None
    warnings: tuple[str, ...]
    saying: tuple[Saying, ...]
    judged: Judgement
    watch: str = ""
    picture: PictureCopy | None = None


def reading_of(moment: MomentCopy, unit: str, boot: str, number: int) -> KitReading:
    """What is published of a moment."""
    judged, picture = moment.judged, moment.picture
    is_believed = moment.face in BELIEVED and picture is not None
    shown = picture if is_believed else None
    return KitReading(
        schema=1,
        unit=unit,
        boot=boot,
        number=number,
        at_s=moment.at_ns / 1e9,
        time=None if day_of(moment.wall_s) is None else iso_utc(moment.wall_s),
        state=moment.face.value,
        believed=is_believed,
        state_words=plain(moment.face_words),
        view=plain(moment.view),
        signal=tuple(each.value for each in moment.saying),
        target=plain(str(moment.goal.target)),
        target_within=moment.goal.within_stops,
        side=None if judged.side is None else judged.side.value,
        off_target=finite(judged.off_stops),
        off_target_pm=finite(judged.pm_stops),
        why=plain(judged.why),
        spot=None if shown is None or shown.spot is None else _part(1, "", lambda: shown.spot),
        pins=() if shown is None else _pins(shown),
        camera=None if shown is None else camera_part(shown),
        watch=plain(moment.watch),
        alert=None if moment.alert is None else plain(moment.alert),
        warnings=sentences(moment.warnings),
    )


def _pins(picture: PictureCopy) -> tuple[PinPart, ...]:
    """The pins of this one frame; where none is set, the spot stands for pin 1."""
    pins = picture.pins or (PinPlace("", picture.place),)
    found = []
    for number, pin in enumerate(pins, start=1):
        place = pin.place
        part = _part(number, pin.name, lambda at=place: read_spot(picture.frame, picture.yard, at))
        if part is not None:
            found.append(part)
    return tuple(found)


def _part(number: int, name: str, read: Callable[..., SpotReading | None]) -> PinPart | None:
    """A reading as it is sent; None where there is none, or none that a number stands for."""
    try:
        spot = read()
        return None if spot is None else pin_part(number, name, spot)
    except (OverlayError, ValueError):
        return None


def camera_part(picture: PictureCopy) -> CameraPart:
    """What was read, and with what."""
    origin = origin_of(picture.frame, picture.read_with)
    feed, profile = feed_object(origin), origin.profile
    told: dict[str, Any] = {
        "feed": plain(feed.name),
        "profile": None if origin.profile_name is None else plain(origin.profile_name),
        "curve": plain(profile.curve.name),
        "carriage": profile.laid.value,
        "gamut": plain(origin.gamut.name),
        "warnings": sentences(origin.warnings),
    }
    same = (
        *("width", "height", "bits", "range", "matrix", "components", "subsampling", "lossy"),
        *("frame", "timecode", "timecode_from", "simulated"),
    )
    return CameraPart(**told, **{name: getattr(feed, name) for name in same})
