"""Buttons over gpiozero's own mock pins, which bounce and turn as real ones do."""

from dataclasses import replace

import pytest
from gpiozero.pins.mock import MockFactory, MockPin

from firmware.actions import Contact, Edge, Press
from firmware.clock import HandClock
from firmware.controls.buttons import MOST_WAITING, Buttons
from firmware.controls.gpio_map import PinMap, read_pins, shipped_pins
from firmware.errors import ScreenError


@pytest.fixture
def factory():
    made = MockFactory(pin_class=MockPin)
    yield made
    made.reset()


OTHERS = {16: Press.HOLD, 20: Press.NEXT_VIEW}


@pytest.fixture
def buttons(factory):
    shipped = read_pins(shipped_pins())
    made = Buttons(replace(shipped, buttons=OTHERS), factory)
    yield made
    made.close()


def press(factory, pin):
    factory.pin(pin).drive_low()
    factory.pin(pin).drive_high()


def turn(factory, pins, steps):
    """Steps of an encoder: A leads clockwise, B leads the other way."""
    first, second = (factory.pin(pin) for pin in (pins if steps > 0 else pins[::-1]))
    for _ in range(abs(steps)):
        first.drive_low()
        second.drive_low()
        first.drive_high()
        second.drive_high()


def test_each_button_is_its_press_once(factory, buttons):
    for pin, wanted in OTHERS.items():
        press(factory, pin)
        assert buttons.actions() == [wanted]
    assert buttons.actions() == []


def test_each_button_of_the_rail_tells_when_it_closes_and_when_it_opens(factory):
    clock = HandClock(7)
    buttons = Buttons(read_pins(shipped_pins()), factory, clock)
    for number, pin in enumerate((5, 6, 13, 19)):
        factory.pin(pin).drive_low()
        clock.move(0.25)
        factory.pin(pin).drive_high()
        closed, opened = buttons.actions()
        assert isinstance(closed, Edge)
        assert isinstance(opened, Edge)
        assert (closed.button, closed.contact) == (number, Contact.CLOSED)
        assert (opened.button, opened.contact) == (number, Contact.OPENED)
        assert opened.at_ns - closed.at_ns == 250_000_000
    buttons.close()


def test_without_a_clock_an_edge_has_no_moment(factory, buttons):
    factory.pin(5).drive_low()
    assert buttons.actions() == [Edge(0, Contact.CLOSED)]


def test_presses_keep_their_order(factory, buttons):
    press(factory, 16)
    press(factory, 20)
    press(factory, 16)
    assert buttons.actions() == [Press.HOLD, Press.NEXT_VIEW, Press.HOLD]


def test_encoder_turns_without_end_both_ways(factory, buttons):
    turn(factory, (17, 27), 40)
    assert buttons.actions() == [Press.STRIPE_UP] * 40
    turn(factory, (17, 27), -3)
    assert buttons.actions() == [Press.STRIPE_DOWN] * 3
    press(factory, 22)
    assert buttons.actions() == [Press.NEXT_STRIPE]


def test_a_stuck_contact_does_not_hold_the_loop(factory, buttons):
    for _ in range(MOST_WAITING + 10):
        press(factory, 16)
    assert len(buttons.actions()) == MOST_WAITING
    assert len(buttons.actions()) == 10


def test_pin_in_use_is_one_sentence_and_leaves_the_others_free(factory):
    holder = Buttons(PinMap({6: Press.HOLD}), factory)
    with pytest.raises(ScreenError, match="no other program uses them"):
        Buttons(PinMap({5: Press.NEXT_VIEW, 6: Press.HOLD}), factory)
    again = Buttons(PinMap({5: Press.NEXT_VIEW}), factory)
    again.close()
    holder.close()
    holder.close()


def test_no_pins_no_presses(factory):
    assert Buttons(PinMap({}), factory).actions() == []
