"""The lamp of three colours and the two lamps over gpiozero's mock pins, against the bench."""

import random
from itertools import pairwise

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.clock import HandClock
from firmware.controls.gpio_map import PinMap
from firmware.controls.saying import COLOURS, PAIR, Saying, rhythm
from firmware.controls.signal_lamp import SignalLamp
from firmware.errors import ScreenError
from tests.firmware.controls.test_saying import HARM

RGB, TWO = (16, 20, 21), (23, 24)
MAP = PinMap({}, colours=RGB, pair=TWO)
STEP_S = 0.05


@pytest.fixture
def factory():
    made = MockFactory()
    yield made
    made.reset()


@pytest.fixture
def clock():
    return HandClock()


@pytest.fixture
def lamp(factory, clock):
    made = SignalLamp(MAP, clock, factory)
    yield made
    made.close()


def states(factory, pins):
    return tuple(bool(factory.pin(pin).state) for pin in pins)


@pytest.mark.parametrize("saying", Saying)
def test_each_is_said_by_its_colour_in_its_rhythm(lamp, factory, clock, saying):
    dark = ((False,) * 3, (False,) * 2)
    lit = (COLOURS[saying], PAIR[saying])
    wanted, seen = [], []
    for on, length in rhythm(saying) * 2:
        wanted += [lit if on else dark] * round(length / 1000 / STEP_S)
    for _ in wanted:
        lamp.say((saying,))
        seen.append((states(factory, RGB), states(factory, TWO)))
        clock.move(STEP_S)
    assert seen == wanted


def test_two_things_are_said_in_turns(lamp, factory, clock):
    seen = []
    for _ in range(round(4.8 / STEP_S)):
        lamp.say((Saying.CLIPPING, Saying.IN))
        seen.append(states(factory, RGB))
        clock.move(STEP_S)
    flashes = [now for was, now in pairwise([(False,) * 3, *seen]) if any(now) and now != was]
    assert flashes == [COLOURS[Saying.CLIPPING]] * 3 + [COLOURS[Saying.IN]]
    assert seen[48:] == [COLOURS[Saying.IN]] * 48


def test_a_press_turns_it_over_for_a_moment(lamp, factory, clock):
    lamp.say((Saying.IN,))
    clock.move(2.0)
    lamp.answer()
    seen = []
    for _ in range(6):
        lamp.turn()
        seen.append(any(states(factory, RGB)))
        clock.move(STEP_S)
    assert seen == [False] * 3 + [True] * 3


@pytest.mark.parametrize("seed", range(4))
def test_whatever_is_said_and_pressed_it_lights_up_three_times_a_second_at_the_most(
    lamp, factory, clock, seed
):
    dice = random.Random(seed)
    before, starts = (False,) * 5, []
    for tick in range(6000):
        if dice.random() < 0.05:
            lamp.say((dice.choice(list(Saying)),))
        if dice.random() < 0.02:
            lamp.answer()
        lamp.turn()
        now = states(factory, RGB) + states(factory, TWO)
        if any(now) and now != before:
            starts.append(tick)
        before = now
        clock.move(0.01)
    assert len(starts) > 60
    for first, _, _, fourth in zip(starts, starts[1:], starts[2:], starts[3:], strict=False):
        assert fourth - first >= 100
    assert HARM == 3


def test_one_of_the_two_will_do(factory, clock):
    for pins, used in ((PinMap({}, colours=RGB), RGB), (PinMap({}, pair=TWO), TWO)):
        made = SignalLamp(pins, clock, factory)
        made.say((Saying.IN,))
        assert any(states(factory, used))
        made.close()
        made.close()


@pytest.mark.usefixtures("lamp")
def test_a_pin_in_use_is_one_sentence_and_lets_the_others_go(factory, clock):
    with pytest.raises(ScreenError, match="buttons and lamp cannot be had"):
        SignalLamp(PinMap({}, colours=(4, 5, RGB[0])), clock, factory)
    SignalLamp(PinMap({}, pair=(4, 5)), clock, factory).close()
