"""Reading a chart off a feed: which chart, where it is, and the objects `chart --json` makes."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from firmware.clock import Clock
from firmware.errors import ArgumentError
from firmware.feeds.base import FeedInfo, Pace
from firmware.opening.gamut_choice import choose_gamut
from firmware.opening.one_frame import take_frame
from firmware.opening.session import open_session
from firmware.profiles.model import Profile
from firmware.readout import feed_object, finite, profile_object
from firmware.written.corners import parse_corners, parse_layout
from firmware.written.options import ChartOptions
from firmware.written.spelling import choice
from overlays.errors import ChartError
from overlays.measure.chart.chart import ChartReading, Scaling, read_chart
from overlays.measure.chart.chart_file import chart_from_text
from overlays.measure.chart.find import find_chart
from overlays.measure.chart.looks import LooksCompared
from overlays.measure.chart.patch import PatchReading
from overlays.measure.chart.place import Corners
from overlays.measure.chart.reference import BUILT_IN, ChartReference
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut
from overlays.signal.signal import Signal

LARGEST_BYTES = 2_000_000
"""A chart's text is some pages long."""


@dataclass(frozen=True, slots=True)
class ChartAnswer:
    """A reading with everything it was taken from."""

    reading: ChartReading
    gamut: Gamut
    info: FeedInfo
    profile: Profile
    signal: Signal
    size: tuple[int, int]
    number: int
    warnings: tuple[str, ...]


def load_reference(path: Path, layout: str | None) -> ChartReference:
    """The chart of a CGATS text.

    Raises
    ------
    ArgumentError
        The file cannot be read, or the layout is none.
    ChartFileError
        Its text cannot be understood.
    """
    placed = None if layout is None else parse_layout(layout)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as fault:
        reason = (fault.strerror or str(fault)).lower()
        raise ArgumentError(f"{path}: cannot be read ({reason}); check --reference") from fault
    if len(raw) > LARGEST_BYTES:
        raise ArgumentError(f"{path}: is larger than any chart's text; is it the right file?")
    return chart_from_text(raw.decode("utf-8", errors="replace"), path.stem, placed)


def references_of(options: ChartOptions) -> tuple[ChartReference, ...]:
    """The charts that may be meant."""
    if options.reference is None:
        if options.layout is not None:
            raise ArgumentError("--layout without --reference; it is of a chart from a file")
        return BUILT_IN
    return (load_reference(options.reference, options.layout),)


def read_look(options: ChartOptions, feed: str, profile: str | None, clock: Clock) -> ChartAnswer:
    """One frame of one feed, read as a chart.

    Raises
    ------
    FirmwareError, OverlayError
        The feed or profile is not to be had, or there is no chart that can be read.
    """
    references = references_of(options)
    scaling = choice(Scaling, options.scaling, "scale")
    session = open_session(feed, profile, options.overrides, clock=clock, pace=Pace.STEP)
    try:
        chosen = choose_gamut(options.gamut, session.profile, session.info)
        frame = take_frame(session.feed, options.frame, clock)
        try:
            yard = session.profile.yardstick(frame.signal, frame.shift)
            reading = _read(frame, yard, chosen.gamut, references, options.corners, scaling)
        finally:
            session.feed.release(frame)
    finally:
        session.feed.close()
    said = [*session.info.warnings, *frame.notes, *chosen.warnings, *reading.warnings]
    return ChartAnswer(
        reading,
        chosen.gamut,
        session.info,
        session.profile,
        frame.signal,
        (frame.columns, frame.rows),
        frame.number,
        tuple(dict.fromkeys(said)),
    )


def _read(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    references: tuple[ChartReference, ...],
    corners: str | None,
    scaling: Scaling,
) -> ChartReading:
    if corners is None:
        found = find_chart(frame, yard, gamut, references)
        return read_chart(frame, yard, gamut, found.reference, found.corners, scaling)
    placed = parse_corners(corners, frame.columns, frame.rows)
    return read_any(frame, yard, gamut, references, placed, scaling)


def read_any(
    frame: Frame,
    yard: Yardstick,
    gamut: Gamut,
    references: tuple[ChartReference, ...],
    corners: Corners,
    scaling: Scaling,
) -> ChartReading:
    """The reading by the first of the references that fits what lies within the corners.

    Raises
    ------
    ChartError
        None does; the first one's reason.
    """
    reasons: list[ChartError] = []
    for reference in references:
        try:
            return read_chart(frame, yard, gamut, reference, corners, scaling)
        except ChartError as fault:
            reasons.append(fault)
    # A chart that is there but cannot be read says more than one that is not.
    raise max(reasons, key=lambda fault: not isinstance(fault, LookupError))


def chart_object(answer: ChartAnswer) -> dict[str, Any]:
    """What `--json` says of one chart; keys are a public interface, as in `firmware.readout`."""
    reading = answer.reading
    return {
        "feed": feed_object(answer.info, answer.signal, answer.size, answer.number),
        "profile": {**profile_object(answer.profile), "gamut": answer.gamut.name},
        "chart": reading.reference.name,
        "lab_white": "D65",
        "scaled_to": reading.scaling.value,
        "gains": [finite(gain) for gain in reading.gains],
        "held": reading.held.value,
        "corners": [[finite(x), finite(y)] for x, y in reading.corners.points],
        "patches": [_patch(patch) for patch in reading.patches],
        "mean_de00": finite(reading.mean_de00),
        "worst": reading.worst.name,
        "neutral_stops": [finite(reading.patches[n].stops_off) for n in reading.neutrals],
        "evenness_stops": finite(reading.evenness.fall_stops),
        "warnings": list(answer.warnings),
    }


def _patch(patch: PatchReading) -> dict[str, Any]:
    place = patch.spot.place
    return {
        "name": patch.name,
        "x": place.column,
        "y": place.row,
        "size": place.size,
        "rgb_linear": [finite(value) for value in patch.rgb_linear],
        "lab": None if patch.lab is None else [finite(value) for value in patch.lab],
        "reference_lab": [finite(value) for value in patch.reference_lab],
        "de00": finite(patch.de00),
        "de00_pm": finite(patch.de00_pm),
        "hue_error_deg": finite(patch.hue_error_deg),
        "chroma_ratio": finite(patch.chroma_ratio),
        "stops_off": finite(patch.stops_off),
        "r_stops": finite(patch.r_stops),
        "b_stops": finite(patch.b_stops),
        "clipped": finite(patch.clipped),
    }


def looks_object(looks: LooksCompared) -> dict[str, Any]:
    """What `--json` says of two looks."""
    return {
        "mean_de00": finite(looks.mean_de00),
        "hues": [
            {
                "hue": hue.hue,
                "patches": hue.patches,
                "saturation": finite(hue.saturation),
                "turn_deg": finite(hue.turn_deg),
                "lightness": finite(hue.lightness),
            }
            for hue in looks.hues
        ],
        "patches": [
            {
                "name": patch.name,
                "hue": patch.hue,
                "saturation": finite(patch.saturation),
                "turn_deg": finite(patch.turn_deg),
                "lightness": finite(patch.lightness),
                "de00": finite(patch.de00),
            }
            for patch in looks.patches
        ],
        "warnings": list(looks.warnings),
    }
