"""A watch found again: changes by the means they lie between, pins by the codes of the mark.

What thousands of frames made (the means themselves, how many frames there were, how even a beat is)
no codes of a few places can give: those numbers are held by the seal of their row.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from firmware.answers.cleaner import clean
from firmware.answers.place_object import centre_of, sides_of
from firmware.instruments.scene import Scene
from firmware.instruments.watch.answer import Told, WatchAnswer
from overlays.measure.spot.spot import SpotReading
from overlays.measure.watch.change import Between, Change, Happening, Three, Tolerance


@dataclass(frozen=True, slots=True)
class PinDecided:
    """A pin and the means that its change or its state lies between; None where there are none."""

    pin: int
    means: Between | None


@dataclass(frozen=True, slots=True)
class EventDecided:
    """What an event was decided from: the watch's first frame, its own ends, limits and means."""

    first_ns: int
    start_ns: int
    end_ns: int
    tolerance: Tolerance
    pins: tuple[PinDecided, ...] = ()


@dataclass(frozen=True, slots=True)
class WatchDecided:
    """What the numbers of a watch are made of besides codes.

    Attributes
    ----------
    first_ns, last_ns:
        Times of its first frame and its last.
    tolerance:
        The limits.
    pins, events:
        As they stand in the answer.
    """

    first_ns: int
    last_ns: int
    tolerance: Tolerance
    pins: tuple[PinDecided, ...] = ()
    events: tuple[EventDecided, ...] = ()


DECIDED = WatchDecided
OF_EVENT = EventDecided


def decided(answer: WatchAnswer, scene: Scene) -> WatchDecided | None:
    """What a watch's numbers are made of; None where a pin was moved since."""
    places = [pin.place for pin in scene.desk.pins] or [scene.place]
    if any(each.place not in places for each in answer.pins):
        return None
    return WatchDecided(
        answer.first_ns,
        answer.last_ns,
        answer.tolerance,
        tuple(PinDecided(each.pin, each.means) for each in answer.pins),
        tuple(event_decided(each) for each in answer.events),
    )


def event_decided(told: Told) -> EventDecided:
    """What an event was decided from."""
    event = told.event
    pins = tuple(PinDecided(each.pin, each.means) for each in event.pins)
    return EventDecided(told.first_ns, event.start_ns, event.end_ns, told.tolerance, pins)


def answer_again(
    stored: Mapping[str, Any], made_of: WatchDecided, scene: Scene, _others: Sequence[Scene]
) -> dict[str, Any]:
    """What of the object of an answer can be found again, as it then is."""
    events = zip(stored["events"], made_of.events, strict=True)
    again: dict[str, Any] = clean(
        {
            "tolerance": _tolerance(made_of.tolerance),
            "seconds": (made_of.last_ns - made_of.first_ns) / 1e9,
            "pins": [
                _pin(one, each, scene)
                for one, each in zip(stored["pins"], made_of.pins, strict=True)
            ],
            "events": [event_again(one, each) for one, each in events],
        }
    )
    return again


def event_again(stored: Mapping[str, Any], made_of: EventDecided) -> dict[str, Any]:
    """The same of the object of an event."""
    first_ns = made_of.first_ns
    change = str(stored["change"])
    again: dict[str, Any] = clean(
        {
            "start": {"seconds": (made_of.start_ns - first_ns) / 1e9},
            "end": {"seconds": (made_of.end_ns - first_ns) / 1e9},
            "pins": [_change(each, change) for each in made_of.pins],
        }
    )
    return again


def _tolerance(allowed: Tolerance) -> dict[str, float]:
    return {"level": allowed.level_stops, "balance": allowed.balance_stops}


def _pin(stored: Mapping[str, Any], made_of: PinDecided, scene: Scene) -> dict[str, Any]:
    found: dict[str, Any] = {"pin": made_of.pin}
    spot = _read_at(stored, scene)
    if spot is not None:
        x, y, size = centre_of(spot.place)
        at_least, at_most = sides_of(spot.bound)
        found |= {"x": x, "y": y, "size": size, "stops": spot.stops}
        found |= {"at_least": at_least, "at_most": at_most}
    if made_of.means is not None:
        learnt = _light(made_of.means.reference)
        found |= {"reference": learnt, "mark": learnt}
        if stored.get("off") is not None:  # of a pin that cannot be followed nothing is said
            found["off"] = _light(made_of.means.off_stops)
    return found


def _read_at(stored: Mapping[str, Any], scene: Scene) -> SpotReading | None:
    """What the pin reads; None where no pin of the mark lies there."""
    at = tuple(stored.get(name) for name in ("x", "y", "size"))
    places = [pin.place for pin in scene.desk.pins] or [scene.place]
    found = next((each for each in places if centre_of(each) == at), None)
    return None if found is None else scene.read(found)


def _change(made_of: PinDecided, change: str) -> dict[str, Any]:
    means = made_of.means
    found: dict[str, Any] = {"pin": made_of.pin}
    if means is None or change in {Happening.CLIP.value, Happening.LOST.value}:
        return found
    passed = change == Change.PASSING.value
    off = _light(means.left_stops if passed else means.off_stops)
    if change in {each.value for each in Change}:
        return found | {"by": _light(means.by_stops), "off": off}
    return found | {"off": off}


def _light(values: Three) -> dict[str, float]:
    return dict(zip(("stops", "r", "b"), values, strict=True))


def by_seal(stored: Mapping[str, Any], made_of: WatchDecided) -> tuple[str, ...]:
    """Numbers that neither codes nor means give again."""
    found = ["frames"]
    if any(each.get("surest_s") is not None for each in stored["pins"]):
        found.append("pins.surest_s")
    for one, each in zip(stored["events"], made_of.events, strict=True):
        found += [f"events.{name}" for name in event_by_seal(one, each)]
    return tuple(dict.fromkeys(found))


def event_by_seal(stored: Mapping[str, Any], made_of: EventDecided) -> tuple[str, ...]:
    """The same of an event: how far a beat swings, which a curve through many frames tells."""
    is_beat = stored["change"] == Happening.BEAT.value
    lacks = any(each.means is None for each in made_of.pins)
    return ("pins.by",) if is_beat else ("pins.by", "pins.off") if lacks else ()
