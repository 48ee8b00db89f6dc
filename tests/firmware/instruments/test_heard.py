"""What an instrument is told of other units."""

from firmware.instruments.heard import Heard, HeardUnit


def test_pins_of_a_unit_are_made_when_they_are_asked_for_and_once():
    asked: list[int] = []

    def read():
        asked.append(1)
        return []

    unit = HeardUnit("cam-b", ("boot", 1), read=read)
    assert asked == []
    assert unit.spots is unit.spots
    assert unit.pins == ()
    assert asked == [1]


def test_without_a_kit_nobody_is_heard():
    assert (Heard().units, Heard().is_kit) == ({}, False)
