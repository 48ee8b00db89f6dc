"""A unit of the kit as an object: for `midgrey units`, and for the page that shows all."""

from dataclasses import dataclass

from firmware.answers.cleaner import said
from firmware.health.condition import Subject
from firmware.kit.ear import HeardNow
from firmware.kit.payloads import Health, KitMark, KitReading
from overlays.wording.numbers import pm_text, signed, stops_number
from overlays.wording.reasons import Bound

GRAVE = ("alarm", "warning")
"""Severities that are spoken of, the graver first."""
BATTERY = Subject.BATTERY.value
NOT_READ = "no reading"


@dataclass(frozen=True, slots=True)
class UnitObject:
    """One unit, as it was heard last."""

    unit: str = said("its name")
    here: bool = said("whether it speaks now: only then may its numbers be believed")
    absence: str = said("why it does not, in words; empty where it does")
    age_s: float | None = said("of its reading; null where nobody knows how old it is")
    state: str | None = said("live, hold, stale, no signal ...; null before anything was heard")
    view: str | None = said("the view it shows")
    simulated: bool = said("whether it reads the bench, with no camera behind it")
    reading: str = said("its spot with its ±, in words")
    stops: float | None = said("of its spot, from mid-grey; null where that is not known")
    stops_pm: float | None = said("its half width at 95 %")
    at_least: bool = said("whether stops is only a lower bound: clipped")
    at_most: bool = said("whether stops is only an upper bound: cut off below")
    verdict: str = said("where the spot is against its target, in words")
    side: str | None = said("in, over or under; null where that cannot be said")
    target: str | None = said("where the spot should be")
    off_target: float | None = said("stops of the spot above its target")
    off_target_pm: float | None = said("its half width at 95 %")
    watch: str = said("what the light does; empty where nobody watches it")
    health: str = said("the gravest that is wrong with the machine; empty where nothing is")
    battery: str = said("its battery as its driver says; empty where nobody knows of one")
    alert: str | None = said("what stands on its screen, and what to do")
    marks: int = said("marks and events that were heard of it")
    last_mark: str | None = said("what the newest of them says")


def object_of(heard: HeardNow) -> UnitObject:
    """The object of a unit; one that does not speak now has no numbers to be believed."""
    reading = heard.reading
    now = reading if heard.is_fresh and reading is not None and reading.believed else None
    spot = None if now is None else now.spot
    return UnitObject(
        unit=heard.name,
        here=heard.is_fresh,
        absence=heard.absence,
        age_s=None if heard.age_ns is None else round(heard.age_ns / 1e9, 1),
        state=None if reading is None else reading.state,
        view=None if reading is None else reading.view,
        simulated=bool(reading and reading.camera and reading.camera.simulated),
        reading=_reading(heard, now),
        stops=None if spot is None else spot.stops,
        stops_pm=None if spot is None else spot.stops_pm,
        at_least=spot is not None and spot.at_least,
        at_most=spot is not None and spot.at_most,
        verdict=_verdict(now),
        side=None if now is None else now.side,
        target=None if reading is None else reading.target,
        off_target=None if now is None else now.off_target,
        off_target_pm=None if now is None else now.off_target_pm,
        watch="" if now is None else now.watch,
        health=_health(heard.health) if heard.is_online else "",
        battery=_battery(heard.health) if heard.is_online else "",
        alert=reading.alert if heard.is_fresh and reading is not None else None,
        marks=heard.marks,
        last_mark=None if heard.last_mark is None else mark_words(heard.last_mark),
    )


def _reading(heard: HeardNow, now: KitReading | None) -> str:
    """The spot in words."""
    if not heard.is_fresh:
        return heard.absence
    if now is None:
        assert heard.reading is not None
        return heard.reading.state
    if now.spot is None or now.spot.stops is None:
        return NOT_READ
    bound = Bound.AT_LEAST if now.spot.at_least else Bound.AT_MOST if now.spot.at_most else None
    number = stops_number(now.spot.stops, now.spot.stops_pm, bound)
    return f"{bound.value} {number} st" if bound else f"{number} {pm_text(now.spot.stops_pm, 2)} st"


def _verdict(now: KitReading | None) -> str:
    if now is None:
        return ""
    if now.side is None:
        return now.why
    if now.side == "in" or now.off_target is None:
        return now.side
    return f"{now.side} by {signed(abs(now.off_target), 2).lstrip('+')} st"


def _health(health: Health | None) -> str:
    for severity in GRAVE:
        for each in () if health is None else health.conditions:
            if each.severity == severity:
                return f"{each.words}: {each.remedy}" if each.remedy else each.words
    return ""


def _battery(health: Health | None) -> str:
    found = () if health is None else health.conditions
    return "; ".join(each.words for each in found if each.subject == BATTERY)


def mark_words(mark: KitMark) -> str:
    """A mark in one line."""
    where = ", ".join(
        f"{name} {value}"
        for name in ("scene", "shot", "take")
        if (value := getattr(mark.slate, name))
    )
    return "; ".join(each for each in (where, mark.words) if each) or f"{mark.kind} {mark.number}"
