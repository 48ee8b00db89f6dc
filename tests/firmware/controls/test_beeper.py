"""The buzzer over gpiozero's mock pins: presses are answered, and what is new is counted out."""

import itertools

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.clock import HandClock
from firmware.controls.beeper import Beeper
from firmware.controls.saying import Saying
from firmware.errors import ScreenError

PIN = 12


@pytest.fixture
def factory():
    made = MockFactory()
    yield made
    made.reset()


@pytest.fixture
def clock():
    return HandClock()


@pytest.fixture
def beeper(factory, clock):
    made = Beeper(PIN, clock, factory)
    yield made
    made.close()


def sounds(beeper, factory, clock, saying, seconds=2.0):
    """How often it began to sound."""
    seen = [0]
    for _ in range(round(seconds / 0.05)):
        beeper.say((saying,))
        seen.append(factory.pin(PIN).state)
        clock.move(0.05)
    return sum(not was and now for was, now in itertools.pairwise(seen))


def test_what_is_new_and_asks_for_a_hand_is_counted_out_once(beeper, factory, clock):
    asked = (Saying.IN, Saying.UNDER, Saying.OVER, Saying.CLIPPING, Saying.FAULT, Saying.NO_FEED)
    heard = [sounds(beeper, factory, clock, saying, 4.0) for saying in asked]
    assert heard == [0, 1, 2, 3, 4, 0]
    assert sounds(beeper, factory, clock, Saying.NO_FEED) == 0


def test_light_that_swings_is_counted_out_every_three_seconds_at_the_most(beeper, factory, clock):
    heard = sum(
        sounds(beeper, factory, clock, saying, 0.2) for saying in (Saying.IN, Saying.OVER) * 25
    )
    assert heard <= 2 * 4


def test_a_press_is_answered(beeper, factory, clock):
    sounds(beeper, factory, clock, Saying.IN)
    beeper.answer()
    assert sounds(beeper, factory, clock, Saying.IN) == 1


@pytest.mark.usefixtures("beeper")
def test_a_pin_in_use_is_one_sentence(factory, clock):
    with pytest.raises(ScreenError, match="cannot be had"):
        Beeper(PIN, clock, factory)
