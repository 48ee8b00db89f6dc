"""`midgrey watch`: follow pins through a take and say when their light changed."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TextIO

from firmware.clock import Clock
from firmware.errors import ArgumentError, FrameMissingError
from firmware.exposure_options import WatchOptions
from firmware.feeds.base import Pace
from firmware.feeds.timecode import Origin
from firmware.opening.session import Session, open_session
from firmware.profiles.camera_table import parse_stops
from firmware.profiles.model import Profile
from firmware.readout import SCHEMA, finite, profile_object
from firmware.watching import Moment, Watching
from firmware.wording import stops_text
from firmware.written.options import Output
from firmware.written.places import CENTRE, WrittenSpot, parse_spot, pins_of
from overlays.measure.pins.lighting import MOST_PINS
from overlays.measure.watch.change import Mood, Three, Tolerance
from overlays.measure.watch.watch import TakeEvent

NO_TIME_CODE = "the feed has no time code of its own: it is counted from the first frame"
LINE_S = 10.0
"""From one line that nothing happened to the next."""


@dataclass(frozen=True, slots=True)
class _Told:
    """An event with its moments."""

    event: TakeEvent
    start: Moment
    end: Moment


def watch(options: WatchOptions, clock: Clock, out: TextIO) -> None:
    """Watch a feed and print its events to `out` as they are sure, or all of them at the end.

    Ctrl-C ends a watch that has no other end; what was seen is then said as at any end.

    Raises
    ------
    FirmwareError, OverlayError, OSError
        The feed, the profile, a pin or a tolerance is not to be had; one sentence says why.
    """
    written = [parse_spot(text) for text in options.spots]
    endless = options.frames is None and options.seconds is None
    bench = options.feed.split(":")[0] == "bench"
    session = open_session(
        options.feed,
        options.profile,
        options.overrides,
        clock=clock,
        # The bench never ends: without an end it runs at the pace of life.
        pace=Pace.LIVE if bench and endless else Pace.STEP,
    )
    try:
        watching = _watching(options, session, written, clock, live=bench and endless)
        told = _follow(options, watching, out)
    finally:
        session.feed.close()
    if watching.frames == 0:
        raise FrameMissingError(
            f"{session.info.name}: no frame came; check the source and the cable"
        )
    warnings = _warnings(session, watching)
    if options.output is Output.JSON:
        answer = _as_object(session, watching, told, warnings)
        print(json.dumps(answer, indent=2, allow_nan=False), file=out)
    else:
        for line in _closing(watching, told, warnings):
            print(line, file=out)


def _watching(
    options: WatchOptions,
    session: Session,
    written: Sequence[WrittenSpot],
    clock: Clock,
    *,
    live: bool,
) -> Watching:
    profile = session.profile
    pins = list(written) or pins_of(profile) or [CENTRE]
    if len(pins) > MOST_PINS:
        raise ArgumentError(f"{len(pins)} pins; at most {MOST_PINS} can be told apart")
    from_device = live or options.feed.split(":")[0] in {"v4l2", "camera"}
    return Watching(
        session.feed,
        profile,
        pins,
        _tolerance(options, profile),
        clock,
        is_footage=lambda: not from_device,
    )


def _tolerance(options: WatchOptions, profile: Profile) -> Tolerance:
    level, balance = profile.watch.level_stops, profile.watch.balance_stops
    if options.level is not None:
        level = parse_stops(options.level)
    if options.balance is not None:
        balance = parse_stops(options.balance)
    return Tolerance(level, balance)


def _follow(options: WatchOptions, watching: Watching, out: TextIO) -> list[_Told]:
    """Events in their order; printed as they come unless a program reads."""
    told: list[_Told] = []
    quiet = options.output is Output.JSON
    next_line_s = LINE_S
    try:
        for event in watching.events(options.frames, options.seconds):
            if event is not None:
                moment = watching.timing.moment
                told.append(_Told(event, moment(event.start_ns), moment(event.end_ns)))
                if not quiet:
                    print(f"{told[-1].start.words}  {event.words}", file=out, flush=True)
            elif not quiet and watching.seconds >= next_line_s:
                print(_status(watching), file=out, flush=True)
                next_line_s = watching.seconds + LINE_S
    except KeyboardInterrupt:  # the way to end a watch without an end
        pass
    return told


def _status(watching: Watching) -> str:
    now = watching.timing.moment(watching.last_ns).words
    worst = watching.watch.worst_off_stops
    if worst is None:
        return f"{now}  {watching.watch.mood.value}"
    pin, off = worst
    return f"{now}  {watching.watch.mood.value}: pin {pin} is {stops_text(off[0])} st off its mark"


def _warnings(session: Session, watching: Watching) -> list[str]:
    out = list(session.info.warnings)
    if _counted_from(watching) is Origin.FIRST_FRAME:
        out.append(NO_TIME_CODE)
    for pin, spot in watching.spots.items():
        out += [f"pin {pin}: {each}" for each in spot.warnings]
    moods = {pin: watching.watch.follower(pin).mood for pin in watching.watch.pins}
    out += [
        f"pin {pin} is too noisy for this tolerance: use a larger spot or a wider tolerance"
        for pin, mood in moods.items()
        if mood is Mood.NOISY
    ]
    for pin, mood in moods.items():
        off = watching.watch.follower(pin).off_stops
        if mood is Mood.CHANGING and off is not None:
            out.append(
                f"pin {pin} was changing when the watch ended, {stops_text(float(off[0]))} st off "
                "its mark: what it was shows only if the watch goes on"
            )
    if all(mood is Mood.LEARNING for mood in moods.values()):
        out.append("the watch ended before the mark was learnt; watch for longer")
    return list(dict.fromkeys(out))


def _counted_from(watching: Watching) -> Origin | None:
    """Where time code is counted from; None where events have none."""
    timing = watching.timing
    if not watching.is_footage() or timing.rate <= 0.0:
        return None
    return Origin.FIRST_FRAME if timing.timecode is None else timing.timecode.origin


def _three(values: Three | None) -> dict[str, float | None] | None:
    if values is None:
        return None
    return {name: finite(v) for name, v in zip(("stops", "r", "b"), values, strict=True)}


def _moment(moment: Moment) -> dict[str, Any]:
    return {
        "seconds": finite(moment.seconds),
        "timecode": moment.timecode,
        "time": moment.time,
    }


def _event(told: _Told) -> dict[str, Any]:
    event = told.event
    return {
        "change": event.change.value,
        "words": event.words,
        "start": _moment(told.start),
        "end": _moment(told.end),
        "over_gap": event.over_gap,
        "pins": [
            {"pin": each.pin, "by": _three(each.by_stops), "off": _three(each.off_stops)}
            for each in event.pins
        ],
    }


def _as_object(
    session: Session, watching: Watching, told: Sequence[_Told], warnings: list[str]
) -> dict[str, Any]:
    """The object of `--json`: keys are a public interface, as in `firmware.readout`."""
    pins = []
    for pin, spot in watching.spots.items():
        follower = watching.watch.follower(pin)
        pins.append(
            {
                "pin": pin,
                "x": spot.place.column,
                "y": spot.place.row,
                "size": spot.place.size,
                "mark": _three(follower.mark),
                "off": _three(follower.off_stops),
                "mood": follower.mood.value,
                "surest_s": finite(follower.surest_s),
            }
        )
    return {
        "schema": SCHEMA,
        "feed": {
            "name": session.info.name,
            "rate": finite(session.info.rate),
            "timecode_from": None if (origin := _counted_from(watching)) is None else origin.value,
        },
        "profile": profile_object(session.profile),
        "tolerance": {
            "level": watching.tolerance.level_stops,
            "balance": watching.tolerance.balance_stops,
        },
        "frames": watching.frames,
        "seconds": finite(watching.seconds),
        "pins": pins,
        "events": [_event(each) for each in told],
        "warnings": warnings,
    }


def _closing(watching: Watching, told: Sequence[_Told], warnings: Sequence[str]) -> list[str]:
    count = "no event" if not told else f"{len(told)} event{'s' if len(told) > 1 else ''}"
    out = [f"Watched {watching.frames} frames, {watching.seconds:.1f} s: {count}."]
    for pin in watching.watch.pins:
        off = watching.watch.follower(pin).off_stops
        if off is not None:
            out.append(
                f"Pin {pin} is {stops_text(off[0])} st off its mark, red {stops_text(off[1])}, "
                f"blue {stops_text(off[2])}"
            )
    return [*out, *(f"Note: {each}." for each in warnings)]
