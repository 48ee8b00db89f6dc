"""A watch made of the codes that its means are the means of.

What a mark and an event say of a pin's light is the mean of readings of a few frames, and those
frames' codes of the pin are kept. What they do not give is no number here: how far a beat
swings, which a curve through a minute of frames tells; the shortest passing that is sure to be
seen, which is a property of the watch; how many frames there were. What happened before a mark
stands in rows of its own, and not in the mark again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from firmware.answers.cleaner import clean
from firmware.feeds.timecode import CountedFrom
from firmware.instruments.grounds import Grounds, GroundsFound
from firmware.instruments.pin_frames import PinFrames
from firmware.instruments.watch.answer import EventCodes, PinState, Told, WatchAnswer
from firmware.instruments.watch.means_again import MeansMadeOf, between, means_of, only
from firmware.instruments.watch.object import event_object_of
from firmware.instruments.watch.timing import Moment
from overlays.errors import OverlayError
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import (
    Between,
    Change,
    Happening,
    Mood,
    Three,
    Tolerance,
)
from overlays.measure.watch.cut import CutTo
from overlays.measure.watch.events import PinChange, TakeEvent, words_without

_NOTHING = (0.0, 0.0, 0.0)
_UNKNOWN = {"stops": None, "r": None, "b": None}


@dataclass(frozen=True, slots=True)
class PinMadeOf:
    """A pin: its number, where it is, what is known of it, and the frames of its means."""

    pin: int
    place: SpotPlace
    mood: Mood
    is_followed: bool
    means: MeansMadeOf | None


@dataclass(frozen=True, slots=True)
class WatchMadeOf:
    """A watch: times of its first frame and its last, its limits, its mood, its pins."""

    first_ns: int
    last_ns: int
    tolerance: Tolerance
    mood: Mood | None
    counted_from: CountedFrom | None
    pins: tuple[PinMadeOf, ...] = ()


@dataclass(frozen=True, slots=True)
class EventMadeOf:
    """An event: what it is and when, and of each pin the frames of its means.

    Attributes
    ----------
    change, start, end, over_gap, period_s, cut, of_pins:
        As of the event; a period is a time.
    pins:
        By number; None where it has no means.
    """

    change: Change | Happening
    start_ns: int
    end_ns: int
    start: Moment
    end: Moment
    first_ns: int
    over_gap: bool
    period_s: float
    cut: CutTo | None
    of_pins: int
    pins: tuple[tuple[int, MeansMadeOf | None], ...] = ()


MADE_OF = WatchMadeOf
EVENT_MADE_OF = EventMadeOf


def places(answer: WatchAnswer) -> tuple[SpotPlace, ...]:
    """Those of the pins that are watched: one may have been moved since."""
    return tuple(each.place for each in answer.pins)


def keep(answer: WatchAnswer) -> Grounds:
    """What an answer is made of."""
    pins = tuple(
        PinMadeOf(each.pin, each.place, each.mood, each.off_stops is not None, means_of(each.means))
        for each in answer.pins
    )
    made_of = WatchMadeOf(
        answer.first_ns,
        answer.last_ns,
        answer.tolerance,
        answer.mood,
        answer.counted_from,
        pins,
    )
    frames = {each.pin: each.frames for each in answer.pins if each.frames is not None}
    known = {each.pin: each.means for each in pins}
    return Grounds(made_of, frames=only(frames, known))


def answer(found: GroundsFound) -> WatchAnswer:
    """The answer of that alone."""
    made_of, scene = found.made_of, found.scene
    pins = tuple(_state(each, found) for each in made_of.pins)
    allowed = made_of.tolerance
    known = [(each.pin, each.off_stops) for each in pins if each.off_stops is not None]
    worst = max(known, key=lambda each: _beyond(each[1], allowed), default=None)
    return WatchAnswer(
        scene.origin,
        allowed,
        scene.pin_flags(),
        made_of.mood,
        worst,
        pins,
        frames=None,
        seconds=(made_of.last_ns - made_of.first_ns) / 1e9,
        counted_from=made_of.counted_from,
        first_ns=made_of.first_ns,
        last_ns=made_of.last_ns,
    )


def _beyond(off_stops: Three, allowed: Tolerance) -> float:
    return float(np.max(np.abs(off_stops) / allowed.stops))


def _state(made_of: PinMadeOf, found: GroundsFound) -> PinState:
    scene = found.scene
    means = between(made_of.means, found.frames.get(made_of.pin), scene.yard)
    state = PinState(
        made_of.pin,
        made_of.place,
        None if means is None else means.reference,
        None if means is None or not made_of.is_followed else means.off_stops,
        made_of.mood,
        None,
        (),
    )
    try:
        spot = scene.read(made_of.place)
    except OverlayError:  # the picture has another size since
        return state
    return replace(
        state, stops=spot.stops, unknown=spot.unknown, bound=spot.bound, warnings=spot.warnings
    )


def keep_event(told: Told, codes: EventCodes | None) -> Grounds:
    """What an event is made of; of one without codes only what it was and when."""
    event = told.event
    pins = tuple((each.pin, means_of(each.means)) for each in event.pins)
    made_of = EventMadeOf(
        event.change,
        event.start_ns,
        event.end_ns,
        told.start,
        told.end,
        told.first_ns,
        event.over_gap,
        event.period_s,
        event.cut,
        event.of_pins,
        pins if codes is not None else tuple((pin, None) for pin, _ in pins),
    )
    frames = {} if codes is None else only(codes.frames, dict(pins))
    return Grounds(made_of, () if codes is None else (codes.kept,), frames)


def event(
    made_of: EventMadeOf, yard: Yardstick | None, frames: Mapping[int, PinFrames]
) -> dict[str, Any]:
    """The object of an event of that alone; `yard` is None where no codes were kept."""
    by_pin = {
        pin: None if yard is None else between(means, frames.get(pin), yard)
        for pin, means in made_of.pins
    }
    told = Told(
        TakeEvent(
            made_of.change,
            made_of.start_ns,
            made_of.end_ns,
            tuple(_change(pin, means, made_of.change) for pin, means in by_pin.items()),
            made_of.of_pins,
            made_of.over_gap,
            made_of.period_s,
            made_of.cut,
        ),
        _moment(made_of.start, made_of.start_ns - made_of.first_ns),
        _moment(made_of.end, made_of.end_ns - made_of.first_ns),
        "",
    )
    made: dict[str, Any] = clean(event_object_of(told))
    is_beat = made_of.change is Happening.BEAT
    if is_beat or None in by_pin.values():
        made["words"] = words_without(told.event)
    for each in made["pins"]:
        if by_pin[each["pin"]] is None:
            each |= {"by": dict(_UNKNOWN), "off": dict(_UNKNOWN)}
        elif is_beat:
            each["by"] = dict(_UNKNOWN)
    return made


def _moment(stored: Moment, after_ns: int) -> Moment:
    return Moment(after_ns / 1e9, stored.timecode, stored.time)


def _change(pin: int, means: Between | None, change: Change | Happening) -> PinChange:
    if means is None:
        return PinChange(pin, _NOTHING, _NOTHING)
    off = means.left_stops if change is Change.PASSING else means.off_stops
    return PinChange(pin, means.by_stops, off)
