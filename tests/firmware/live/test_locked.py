"""A locked unit: every press, every key, every touch is inert but for what its preset allows."""

import random
import time
from dataclasses import replace

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.actions import HeldTogether, Leave, PictureSize, PlaceSpot, Press
from firmware.controls.buttons import PAIR, TOGETHER_S, Buttons
from firmware.controls.gpio_map import PinMap, read_pins, shipped_pins
from firmware.controls.keyboard import ENTRIES, press_of
from firmware.controls.panel import ButtonPanel
from firmware.instruments.registry import REGISTRY
from firmware.live.locked import MOVES, after
from firmware.live.locking import Locking
from firmware.live.state import Running
from firmware.presets.model import Allowed, Lock
from firmware.screen.blind import Blind
from overlays.draw.layout.views import View
from tests import views
from tests.firmware.live.test_remembered import start

TOUCH = PlaceSpot(7, 9)
CODE = (Press.HOLD, Press.STRIPES, Press.HOLD, Press.NEXT_VIEW)
KEYS = [key for entry in ENTRIES for key, _ in entry.keys]


def locked(*allows, code=(), view=views.READING):
    lock = Lock(frozenset(allows), code)
    return replace(start(), view=view, locking=Locking(lock, view))


def inert(state, action):
    """Whether it changes nothing but how often was refused, and what was typed."""
    made = after(state, action)
    was, now = state.locking, made.locking
    assert now.refusals == was.refusals + 1
    return replace(made, locking=was) == state and now.is_on


@pytest.mark.parametrize("view", [view.name for view in REGISTRY.views()])
@pytest.mark.parametrize("action", [*Press, TOUCH], ids=str)
def test_every_control_of_a_locked_unit_is_inert(view, action):
    assert inert(locked(view=REGISTRY.view(view)), action)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: f"{key.name}{'+' * key.shift}")
def test_every_key_of_a_locked_unit_is_inert(key):
    assert inert(locked(), press_of(key))


@pytest.mark.parametrize("action", [*sorted(MOVES, key=lambda p: p.name), TOUCH], ids=str)
def test_where_the_preset_allows_it_the_spot_moves_and_nothing_else_does(action):
    state = replace(locked(Allowed.SPOT), spot=replace(start().spot, column=700, size=100))
    made = after(state, action)
    assert made.locking == state.locking
    same = replace(made, spot=state.spot, sought=state.sought, searches=state.searches)
    assert same == state
    assert made != state


@pytest.mark.parametrize("action", [each for each in Press if each not in MOVES], ids=str)
def test_and_every_other_press_is_inert_still(action):
    assert inert(locked(Allowed.SPOT), action)


def test_arrows_that_move_something_else_than_the_spot_are_inert():
    """In the chart view they move a corner, once one was chosen."""
    state = replace(locked(Allowed.SPOT, view=views.CHART), locking=None)
    state = after(state, Press.NEXT_STRIPE)
    state = replace(state, locking=locked(Allowed.SPOT, view=views.CHART).locking)
    assert inert(state, Press.SPOT_LEFT)


def test_marks_are_written_where_they_are_allowed():
    made = after(locked(Allowed.MARK), Press.MARK)
    assert (made.marks, made.locking.refusals) == (1, 0)


def test_what_is_not_asked_for_by_a_person_goes_through():
    assert after(locked(), PictureSize(640, 360)).columns == 640
    assert after(locked(), Leave()).running is Running.QUIT


def test_two_held_buttons_lift_it_and_set_it_again_with_its_own_view():
    lifted = after(locked(), HeldTogether())
    assert not lifted.locking.is_on
    turned = after(after(lifted, Press.NEXT_VIEW), Press.HOLD)
    assert turned.view is not views.READING
    again = after(turned, HeldTogether())
    assert (again.view, again.held, again.locking.is_on) == (views.READING, False, True)
    assert after(start(), HeldTogether()) == start()


def test_a_code_lifts_it_whatever_was_pressed_before():
    state = locked(code=CODE)
    for press in (Press.TRACE, Press.HOLD, *CODE[:3], Press.TRACE, *CODE):
        assert state.locking.is_on
        state = after(state, press)
    assert not state.locking.is_on
    assert state.view is views.READING


def test_nothing_else_lifts_it():
    dice, state = random.Random(4), locked(Allowed.SPOT, Allowed.CLEAR, Allowed.MARK)
    for _ in range(3000):
        state = after(state, dice.choice([*Press, TOUCH]))
        assert state.locking.is_on
    assert state.view is views.READING
    assert isinstance(state.view, View)
    assert state.running is Running.ON


class Ticking(MockFactory):
    """Pins whose time is moved on by hand; presses are stamped with the time before."""

    now_s = 0.0

    @classmethod
    def ticks(cls):
        return time.monotonic() + cls.now_s


@pytest.fixture
def factory():
    made = Ticking()
    yield made
    made.reset()


def held(factory, *pins_and_seconds):
    """What comes of buttons of the map that ships, each held for so long from the beginning on."""
    buttons = Buttons(read_pins(shipped_pins()), factory)
    panel = ButtonPanel(Blind(clock=SystemTime()), buttons)
    found: list[object] = []
    Ticking.now_s = 0.0
    for pin, _ in pins_and_seconds:
        factory.pin(pin).drive_low()
    for _ in range(200):
        found += panel.actions()
        Ticking.now_s += 0.05
        for pin, seconds in pins_and_seconds:
            if Ticking.now_s >= seconds:
                factory.pin(pin).drive_high()
    panel.close()
    return found


class SystemTime:
    def now_ns(self):
        return 0


PINS = {press: pin for pin, press in read_pins(shipped_pins()).buttons.items()}
TWO = [PINS[press] for press in PAIR]


def test_two_buttons_held_for_three_seconds_are_told_once(factory):
    found = held(factory, (TWO[0], 9.0), (TWO[1], 9.0))
    assert found.count(HeldTogether()) == 1
    assert found[:2] == list(PAIR)


@pytest.mark.parametrize(
    "pins",
    [
        [(TWO[0], 9.0)],
        [(TWO[1], 9.0)],
        [(TWO[0], 9.0), (TWO[1], TOGETHER_S - 0.1)],
        [(TWO[0], 9.0), (PINS[Press.STRIPES], 9.0), (PINS[Press.SCREENSHOT], 9.0)],
    ],
)
def test_less_than_that_is_nothing(factory, pins):
    assert HeldTogether() not in held(factory, *pins)


def test_pressed_on_pins_a_locked_unit_stays_as_it_is(factory):
    state = locked(Allowed.MARK)
    for press, pin in PINS.items():
        for action in held(factory, (pin, 1.0)):
            assert action is press
            assert inert(state, action)
    for action in held(factory, (TWO[0], 9.0), (TWO[1], 9.0)):
        state = after(state, action)
    assert not state.locking.is_on


def test_a_map_without_these_takes_its_first_two(factory):
    pins = PinMap({4: Press.TRACE, 9: Press.STRIPES, 11: Press.HELP})
    buttons = Buttons(pins, factory)
    Ticking.now_s = 0.0
    for pin in (4, 9):
        factory.pin(pin).drive_low()
    Ticking.now_s += TOGETHER_S + 0.1
    assert buttons.are_held_together()
    assert not buttons.are_held_together()
    buttons.close()
    alone = Buttons(PinMap({4: Press.TRACE}), factory)
    assert not alone.are_held_together()
    alone.close()
