"""The object that `watch --json` makes of its answer; loaded only where it is asked for."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.answers.origin_object import ProfileObject, profile_object
from firmware.answers.place_object import centre_of, sides_of
from firmware.instruments.watch.answer import PinState, Told, WatchAnswer
from firmware.instruments.watch.timing import Moment
from overlays.measure.watch.change import Change, Happening, Three
from overlays.measure.watch.events import PinChange


@dataclass(frozen=True, slots=True)
class WatchedObject:
    """What was watched."""

    name: str = said("the feed as it was asked for")
    rate: float | None = said("frames a second; 0 where unknown")
    timecode_from: str | None = said(
        '"file" where the file gives it, "first frame" where not; null of a live feed'
    )
    simulated: bool = said("whether it is the bench, with no camera behind it")


@dataclass(frozen=True, slots=True)
class ToleranceObject:
    """How far a pin may move unremarked, in stops."""

    level: float = said("of its level")
    balance: float = said("of red and blue against green")


@dataclass(frozen=True, slots=True)
class LightObject:
    """Light of a pin, or a change of it, in stops."""

    stops: float | None = said("level, from mid-grey where it is no change")
    r: float | None = said("red against green")
    b: float | None = said("blue against green")


@dataclass(frozen=True, slots=True)
class FollowedObject:
    """One pin at the end."""

    pin: int = said("its number")
    x: int = said("centre, pixels from the left")
    y: int = said("centre, pixels from the top")
    size: int = said("edge in pixels")
    reference: LightObject | None = said("what was learnt; null until then")
    mark: LightObject | None = said("the same by its older name")
    off: LightObject | None = said("off its reference")
    stops: float | None = said("what it reads at the end, from mid-grey")
    at_least: bool = said("whether stops is only a lower bound: it is clipped, and off too little")
    at_most: bool = said("whether stops is only an upper bound: it is cut off below")
    mood: str = said("what is known of it")
    surest_s: float | None = said("shortest passing sure to be seen, seconds; null in a mark")


@dataclass(frozen=True, slots=True)
class MomentObject:
    """When something was."""

    seconds: float | None = said("since the first frame")
    timecode: str | None = said("of footage; else null")
    time: str | None = said("of a live feed: ISO 8601 in UTC; else null")


@dataclass(frozen=True, slots=True)
class TakeChangeObject:
    """What an event did to one pin."""

    pin: int = said("its number")
    by: LightObject = said("what it changed by")
    off: LightObject = said("off its reference after it")


@dataclass(frozen=True, slots=True)
class EventObject:
    """A change of light."""

    change: str = said(
        '"drift", "step" or "passing" of light; "clip", "lost", "returned" or "beat" of a pin; '
        '"cut" or "gap" of the picture'
    )
    words: str = said("a sentence")
    start: MomentObject = said("when it began")
    end: MomentObject = said("when it was over, or was judged")
    over_gap: bool = said("whether it happened while there were no frames")
    pins: tuple[TakeChangeObject, ...] = said("the pins that saw it")


@dataclass(frozen=True, slots=True)
class WatchObject:
    """The answer of `watch --json`."""

    feed: WatchedObject
    profile: ProfileObject
    tolerance: ToleranceObject
    frames: int | None = said("how many were watched; null in a mark")
    seconds: float | None = said("from the first to the last")
    pins: tuple[FollowedObject, ...] = said("in the order of --at")
    events: tuple[EventObject, ...] = said("in the order they became sure")
    verdict: str = said("what stands at the end, as the screen says it; empty where nothing does")
    warnings: tuple[str, ...] = said("sentences")


def object_of(answer: WatchAnswer) -> WatchObject:
    """The object."""
    info, counted_from, allowed = answer.origin.info, answer.counted_from, answer.tolerance
    return WatchObject(
        WatchedObject(
            info.name,
            info.rate,
            None if counted_from is None else counted_from.value,
            info.is_simulated,
        ),
        profile_object(answer.origin),
        ToleranceObject(allowed.level_stops, allowed.balance_stops),
        answer.frames,
        answer.seconds,
        tuple(_pin(each) for each in answer.pins),
        tuple(event_object_of(each) for each in answer.events),
        answer.verdict,
        answer.warnings,
    )


_NOTHING = LightObject(None, None, None)


def _light(values: Three) -> LightObject:
    return LightObject(*values)


def _pin(state: PinState) -> FollowedObject:
    place, known, off = state.place, state.reference, state.off_stops
    learnt = None if known is None else _light(known)
    return FollowedObject(
        state.pin,
        *centre_of(place),
        learnt,
        learnt,
        None if off is None else _light(off),
        state.stops,
        *sides_of(state.bound),
        state.mood.value,
        state.surest_s,
    )


def _moment(moment: Moment) -> MomentObject:
    return MomentObject(moment.seconds, moment.timecode, moment.time)


def event_object_of(told: Told) -> EventObject:
    """The object of one event."""
    event = told.event
    return EventObject(
        event.change.value,
        event.words,
        _moment(told.start),
        _moment(told.end),
        event.over_gap,
        tuple(_change(each, event.change) for each in event.pins),
    )


def _change(of_pin: PinChange, change: Change | Happening) -> TakeChangeObject:
    if change in {Happening.CLIP, Happening.LOST}:  # there is no light to have changed
        return TakeChangeObject(of_pin.pin, _NOTHING, _NOTHING)
    by = _NOTHING if change is Happening.RETURNED else _light(of_pin.by_stops)
    return TakeChangeObject(of_pin.pin, by, _light(of_pin.off_stops))
