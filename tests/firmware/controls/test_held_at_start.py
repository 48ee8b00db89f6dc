"""A button that is held while the unit starts, over gpiozero's mock pins."""

import pytest
from gpiozero.pins.mock import MockFactory, MockPin

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.controls.buttons import Buttons
from firmware.controls.gpio_map import PinMap, read_pins, shipped_pins
from firmware.controls.held_at_start import HELD_S, WORDS, factory_pin, held_at_start
from firmware.controls.holding import Holding

PIN = 19


class Contact(MockPin):
    """A pin whose contact may be closed before anybody asks; no pull-up opens it."""

    closed = False

    def _set_pull(self, value):
        super()._set_pull(value)
        (self.drive_low if self.closed else self.drive_high)()

    def close_contact(self):
        self.closed = True
        self.drive_low()

    def open_contact(self):
        self.closed = False
        self.drive_high()


@pytest.fixture
def factory():
    made = MockFactory(pin_class=Contact)
    yield made
    made.reset()


@pytest.fixture
def board(tmp_path):
    (tmp_path / "proc/device-tree").mkdir(parents=True)
    (tmp_path / "proc/device-tree/model").write_text("Raspberry Pi 5 Model B Rev 1.0\0")
    return tmp_path


class Watched(HandClock):
    """A clock at whose turns a finger is lifted."""

    def __init__(self, factory, lift_s):
        super().__init__()
        self.factory, self.lift_ns = factory, round(lift_s * 1e9)

    def sleep(self, seconds):
        super().sleep(seconds)
        if self.now_ns() >= self.lift_ns:
            self.factory.pin(PIN).open_contact()


def held(factory, board, lift_s):
    """Whether it counts as held with the finger lifted after so many seconds; what is said."""
    said: list[str] = []
    return held_at_start(Watched(factory, lift_s), said.append, board, factory), said


def test_two_seconds_from_the_start_on_ask_for_the_factory(factory, board):
    factory.pin(PIN).close_contact()
    assert held(factory, board, HELD_S + 1.0) == (True, [WORDS])


@pytest.mark.parametrize("lift_s", [0.05, 1.0, HELD_S - 0.05])
def test_less_does_not(factory, board, lift_s):
    factory.pin(PIN).close_contact()
    assert held(factory, board, lift_s) == (False, [WORDS])


def test_an_open_button_costs_no_time(factory, board):
    clock = HandClock()
    assert not held_at_start(clock, root=board, factory=factory)
    assert clock.now_ns() == 0


def test_its_pin_is_free_again_and_no_press_follows(factory, board):
    factory.pin(PIN).close_contact()
    assert held(factory, board, 9.0)[0]
    buttons = Buttons(read_pins(shipped_pins()), factory)
    factory.pin(PIN).open_contact()
    assert Holding().presses(buttons.actions(), 0) == []
    buttons.close()


def test_which_button_it_is():
    assert factory_pin(read_pins(shipped_pins())) == PIN
    assert factory_pin(PinMap({9: Press.STRIPES, 4: Press.HELP})) == 9
    assert factory_pin(PinMap({})) is None


def test_without_pins_nothing_is_held(tmp_path, factory, board):
    assert not held_at_start(HandClock(), root=tmp_path, factory=factory)
    (board / "etc/midgrey").mkdir(parents=True)
    (board / "etc/midgrey/pins.toml").write_text("[buttons]\nhold = 99\n")
    assert not held_at_start(HandClock(), root=board, factory=factory)
