"""Marks and events as markers with time code, in the open interchange format OpenTimelineIO.

A feed is a clip in a track of its own, whose markers lie at the time code of its footage; those of
a feed without one lie at the time of day, counted from midnight UTC, and say so.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from firmware.clock import since_midnight_s
from firmware.errors import JournalError
from firmware.journal.chosen import ChosenRow, as_written
from firmware.journal.outlets import reading_words
from firmware.journal.row import RowKind

USUAL_RATE = 25.0
"""Frames a second in which the time of day is counted where a feed has no rate of its own."""
MOST_RATE = 1000.0
TIME_CODE, TIME_OF_DAY = "time code of the footage", "time of day, UTC"


@dataclass(frozen=True, slots=True)
class Flag:
    """One marker, before it is one.

    Attributes
    ----------
    feed, rate:
        Which clip it lies on, and the numbers of a second there.
    timecode, day_s:
        Where: a time code, or else seconds since midnight.
    """

    feed: str
    rate: float
    timecode: str | None
    day_s: float
    name: str
    comment: str
    about: dict[str, Any]


def flags_of(rows: Iterable[ChosenRow]) -> list[Flag]:
    """What there is to mark: every mark and event whose place is known."""
    out: list[Flag] = []
    rates: dict[str, float] = {}
    for each in rows:
        if each.row.kind is RowKind.CLOCK:
            continue
        with as_written(each.row.number):
            flag = _flag(each, rates)
        if flag is not None:
            out.append(flag)
    return out


def _flag(each: ChosenRow, rates: dict[str, float]) -> Flag | None:
    """The marker of a row; None where its place is not known. `rates` are those of the feeds."""
    head, row = each.row.head, each.row
    code, feed = head.get("timecode"), str(head.get("feed", ""))
    # An event knows its time code; how that is counted the marks of the same feed say.
    rate = _rate(head.get("timecode_rate") if code else head.get("rate")) or rates.get(feed)
    if rate is not None:
        rates[feed] = rate
    if (code and rate is None) or (not code and each.dated.wall_s is None):
        return None
    is_mark = row.kind is RowKind.MARK
    said = reading_words(head) if is_mark else str(head.get("change") or "event")
    slate = asdict(each.slate)
    about = {
        "number": row.number,
        "kind": row.kind.value,
        "seal": row.seal.hex(),
        "placed_by": TIME_CODE if code else TIME_OF_DAY,
        **{name: slate[name] for name in ("scene", "shot", "take", "camera")},
        **{name: str(head[name]) for name in ("profile", "view") if head.get(name)},
        **{name: _number(head.get(name)) for name in ("stops", "stops_pm", "percent")},
    }
    return Flag(
        feed,
        rate or USUAL_RATE,
        str(code) if code else None,
        since_midnight_s(each.dated.wall_s or 0.0),
        f"#{row.number} {said}".strip(),
        str(head.get("words", "")),
        {name: value for name, value in about.items() if value is not None},
    )


def _number(found: object) -> float | None:
    return float(found) if isinstance(found, int | float) else None


def _rate(found: object) -> float | None:
    """A rate that pictures can have; None of anything else."""
    rate = _number(found)
    return rate if rate is not None and 0.0 < rate <= MOST_RATE else None


def otio_text(name: str, rows: Iterable[ChosenRow]) -> str:
    """The whole file.

    Raises
    ------
    JournalError
        The library is not there, or a time code in the journal is none.
    """
    try:
        # Of an extra: only who hands over markers needs it.
        import opentimelineio as otio  # noqa: PLC0415
    except ImportError as fault:
        raise JournalError(
            "markers need OpenTimelineIO, which is not installed; .venv/bin/pip install '.[otio]'"
        ) from fault
    timeline = otio.schema.Timeline(name)
    clips: dict[tuple[str, bool], list[Flag]] = {}
    for flag in flags_of(rows):
        clips.setdefault((flag.feed, flag.timecode is not None), []).append(flag)
    for (feed, _), flags in clips.items():
        track = otio.schema.Track(feed, kind=otio.schema.TrackKind.Video)
        track.append(_clip(otio, feed, flags))
        timeline.tracks.append(track)
    return str(timeline.to_json_string()) + "\n"


def _clip(otio: Any, feed: str, flags: list[Flag]) -> Any:  # noqa: ANN401 - of a library without types
    times = [_time(otio, flag) for flag in flags]
    first, last = min(times), max(times)
    one = otio.opentime.RationalTime(1, first.rate)
    span = otio.opentime.range_from_start_end_time(first, last + one)
    media = otio.schema.ExternalReference(target_url=feed, available_range=span)
    clip = otio.schema.Clip(feed, media_reference=media, source_range=span)
    for flag, time in zip(flags, times, strict=True):
        clip.markers.append(
            otio.schema.Marker(
                name=flag.name,
                marked_range=otio.opentime.TimeRange(time, one),
                comment=flag.comment,
                metadata={"midgrey": flag.about},
            )
        )
    return clip


def _time(otio: Any, flag: Flag) -> Any:  # noqa: ANN401 - of a library without types
    opentime = otio.opentime
    if flag.timecode is None:
        return opentime.RationalTime(round(flag.day_s * flag.rate), flag.rate)
    rate = opentime.RationalTime.nearest_smpte_timecode_rate(flag.rate)
    try:
        return opentime.RationalTime.from_timecode(flag.timecode, rate)
    except ValueError as fault:
        raise JournalError(
            f"{flag.feed}: time code {flag.timecode!r} is none at {flag.rate:g} frames a second"
        ) from fault
