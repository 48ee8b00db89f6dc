"""A unit in words and numbers; of one that does not speak now nothing that could be believed."""

import pytest

from firmware.kit.ear import HeardNow
from firmware.kit.payloads import Condition_, Health, SlatePart
from firmware.kit.unit_object import NOT_READ, mark_words, object_of
from tests.kit_messages import BOOT, mark, pin, presence, reading


def heard(age_ns=10**8, online=True, health=None, **more):
    return HeardNow("cam-b", presence(online=online), reading(**more), health, age_ns)


def test_a_unit_that_speaks():
    found = object_of(heard())
    assert (found.here, found.absence, found.reading) == (True, "", "0.00 ±0.01 st")
    assert (found.verdict, found.watch, found.health, found.age_s) == ("in", "steady", "", 0.1)
    assert found.simulated


@pytest.mark.parametrize(
    ("more", "words", "verdict"),
    [
        ({"side": "over", "off_target": 0.5}, "0.00 ±0.01 st", "over by 0.50 st"),
        ({"side": "under", "off_target": -0.25}, "0.00 ±0.01 st", "under by 0.25 st"),
        ({"side": None, "why": "clipped"}, "0.00 ±0.01 st", "clipped"),
        ({"spot": None}, NOT_READ, "in"),
        ({"spot": pin(stops=None, stops_pm=None)}, NOT_READ, "in"),
        ({"spot": pin(at_least=True, stops_pm=None, stops=3.0)}, "at least +3.0 st", "in"),
        ({"believed": False, "state": "stale"}, "stale", ""),
    ],
)
def test_what_it_reads(more, words, verdict):
    found = object_of(heard(**more))
    assert (found.reading, found.verdict) == (words, verdict)


@pytest.mark.parametrize(
    "one", [heard(age_ns=9 * 10**9), heard(age_ns=None), heard(online=False), HeardNow("cam-b")]
)
def test_one_that_does_not_speak_has_no_numbers(one):
    found = object_of(one)
    assert not found.here
    assert found.absence
    assert found.reading == found.absence
    assert (found.stops, found.side, found.off_target, found.alert) == (None, None, None, None)
    assert (found.verdict, found.watch) == ("", "")


def test_the_gravest_trouble_is_named():
    told = [
        Condition_(subject="card", severity="warning", words="nearly full", remedy="delete"),
        Condition_(subject="power", severity="alarm", words="weak supply", remedy=""),
        Condition_(subject="age", severity="note", words="late", remedy=""),
    ]
    health = Health(schema=1, unit="cam-b", boot=BOOT, conditions=tuple(told))
    assert object_of(heard(health=health)).health == "weak supply"
    health = Health(schema=1, unit="cam-b", boot=BOOT, conditions=tuple(told[:1]))
    assert object_of(heard(health=health)).health == "nearly full: delete"


def test_a_battery_is_told_where_there_is_one_and_while_the_unit_is_there():
    told = Condition_(subject="battery", severity="fine", words="73 %, in use", remedy="")
    health = Health(schema=1, unit="cam-b", boot=BOOT, conditions=(told,))
    assert object_of(heard(health=health)).battery == "73 %, in use"
    assert object_of(heard(health=health)).health == ""
    assert object_of(heard(health=health, online=False)).battery == ""
    none = Health(schema=1, unit="cam-b", boot=BOOT, conditions=())
    assert object_of(heard(health=none)).battery == ""


def test_a_mark_in_one_line():
    assert mark_words(mark()) == "scene 12; add exposure"
    assert mark_words(mark(slate=SlatePart(), words="")) == "mark 3"
