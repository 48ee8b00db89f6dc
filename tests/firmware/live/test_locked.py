"""A locked unit: every press, every key, every touch is inert but for what its preset allows."""

import random
import time
from dataclasses import replace

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.actions import (
    Contact,
    Edge,
    FromPage,
    HeldTogether,
    Leave,
    PictureSize,
    PlaceSpot,
    Press,
    RailPress,
    ShowView,
    Touch,
)
from firmware.controls.buttons import TOGETHER_S, Buttons
from firmware.controls.gpio_map import PinMap, read_pins, shipped_pins
from firmware.controls.keyboard import ENTRIES, press_of
from firmware.controls.panel import ButtonPanel
from firmware.instruments.registry import REGISTRY
from firmware.live.hands import Hands
from firmware.live.locked import MOVES, after, takes
from firmware.live.locking import Locking
from firmware.live.railing import acted, labels_of
from firmware.live.state import Running
from firmware.presets.model import Allowed, Lock
from firmware.rail.pages import FIRST
from firmware.screen.blind import Blind
from overlays.draw.layout.views import View
from tests import views
from tests.firmware.live.test_remembered import start

TOUCH = PlaceSpot(7, 9)
CODE = (Press.HOLD, Press.STRIPES, Press.HOLD, Press.NEXT_VIEW)
KEYS = [key for entry in ENTRIES for key, _ in entry.keys]


def locked(*allows, code=(), view=views.TARGET):
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
    assert turned.view is not views.TARGET
    again = after(turned, HeldTogether())
    assert (again.view, again.held, again.locking.is_on) == (views.TARGET, False, True)
    # A page of help that was left open would hide the view, and no button could close it.
    assert not after(replace(turned, help=True), HeldTogether()).help
    assert after(start(), HeldTogether()) == start()


def test_a_code_lifts_it_whatever_was_pressed_before():
    state = locked(code=CODE)
    for press in (Press.TRACE, Press.HOLD, *CODE[:3], Press.TRACE, *CODE):
        assert state.locking.is_on
        state = after(state, press)
    assert not state.locking.is_on
    assert state.view is views.TARGET


def test_nothing_else_lifts_it():
    dice, state = random.Random(4), locked(Allowed.SPOT, Allowed.CLEAR, Allowed.MARK)
    for _ in range(3000):
        state = after(state, dice.choice([*Press, TOUCH]))
        assert state.locking.is_on
    assert state.view is views.TARGET
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


def by_hand(factory, state, *pins_and_seconds):
    """The state after buttons of the map that ships were each held for so long, as in the loop."""
    buttons = Buttons(read_pins(shipped_pins()), factory)
    panel, hands = ButtonPanel(Blind(clock=SystemTime()), buttons), Hands()
    Ticking.now_s = 0.0
    for pin, _ in pins_and_seconds:
        factory.pin(pin).drive_low()
    for _ in range(200):
        state = hands.after(state, panel.actions(), round(Ticking.now_s * 1e9))
        Ticking.now_s += 0.05
        for pin, seconds in pins_and_seconds:
            if Ticking.now_s >= seconds:
                factory.pin(pin).drive_high()
    panel.close()
    return state


class SystemTime:
    def now_ns(self):
        return 0


RAIL = read_pins(shipped_pins()).rail
TWO = (RAIL[0], RAIL[2])


def test_two_buttons_held_for_three_seconds_are_told_once(factory):
    found = held(factory, (TWO[0], 9.0), (TWO[1], 9.0))
    assert found.count(HeldTogether()) == 1
    assert found[:2] == [Edge(0, Contact.CLOSED), Edge(2, Contact.CLOSED)]


@pytest.mark.parametrize(
    "pins",
    [
        [(TWO[0], 9.0)],
        [(TWO[1], 9.0)],
        [(TWO[0], 9.0), (TWO[1], TOGETHER_S - 0.1)],
        [(TWO[0], 9.0), (RAIL[1], 9.0), (RAIL[3], 9.0)],
    ],
)
def test_less_than_that_is_nothing(factory, pins):
    assert HeldTogether() not in held(factory, *pins)


def test_pressed_on_pins_a_locked_unit_stays_as_it_is(factory):
    state = locked()
    for pin in RAIL:
        for seconds in (0.2, 1.0, 9.0):  # pressed, held, held on
            made = by_hand(factory, state, (pin, seconds))
            assert made.locking.refusals == 1
            assert replace(made, locking=state.locking, is_resting=state.is_resting) == state
    made = by_hand(factory, state, (TWO[0], 9.0), (TWO[1], 9.0))
    assert not made.locking.is_on
    assert made.rail == FIRST


def test_a_mark_is_made_by_its_button_where_it_is_allowed(factory):
    made = by_hand(factory, locked(Allowed.MARK), (RAIL[3], 0.2))
    assert (made.marks, made.locking.refusals) == (1, 0)
    assert by_hand(factory, locked(Allowed.MARK), (RAIL[3], 1.0)).locking.refusals == 1


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


@pytest.mark.parametrize("touch", [Touch.SHORT, Touch.LONG])
@pytest.mark.parametrize("button", range(4))
@pytest.mark.parametrize("view", [view.name for view in REGISTRY.views()])
def test_every_button_and_label_of_a_locked_unit_is_inert(view, button, touch):
    state = locked(view=REGISTRY.view(view))
    assert labels_of(state) == ()
    made = acted(state, RailPress(button, touch))
    assert made.locking.refusals == 1
    assert replace(made, locking=state.locking) == state


def test_no_view_is_shown_by_name_either():
    state = locked()
    made = acted(state, ShowView("picture"))
    assert (made.view, made.rail, made.locking.refusals) == (state.view, FIRST, 1)


def test_labels_of_a_locked_unit_are_those_that_it_takes():
    labels = labels_of(locked(Allowed.SPOT))
    assert [(each.pressed, each.held) for each in labels] == [
        ("", ""),
        ("grey card", "brightest"),
        ("", ""),
        ("", ""),
    ]
    assert takes(locked(Allowed.MARK), Press.MARK)
    assert not takes(locked(Allowed.MARK), Press.HOLD)


def from_page(*allows, code=CODE):
    return locked(*allows, code=code)


@pytest.mark.parametrize("press", list(Press), ids=str)
def test_a_phone_gets_no_further_on_a_locked_unit_than_a_button(press):
    state = from_page()
    made = acted(state, FromPage(press))
    assert made.locking.is_on
    assert made.locking.typed == ()
    assert replace(made, locking=state.locking, is_resting=state.is_resting) == state


def test_no_phone_lifts_a_lock_by_its_code():
    state = from_page(Allowed.MARK, code=(Press.MARK,) * 4)
    for _ in range(8):
        state = acted(state, FromPage(Press.MARK))
    assert state.locking.is_on
    assert state.marks == 8
    for press in CODE:
        state = acted(replace(state, locking=from_page().locking), FromPage(press))
        assert state.locking.is_on


def test_a_phone_does_not_break_into_a_code_that_is_being_typed():
    state = from_page()
    for press in CODE[:3]:
        state = after(state, press)
        state = acted(state, FromPage(Press.SPOT_LEFT))
    assert not after(state, CODE[3]).locking.is_on


def test_where_the_preset_says_so_the_code_may_come_from_a_phone():
    state = from_page(Allowed.PAGE)
    for press in CODE:
        assert state.locking.is_on
        state = acted(state, FromPage(press))
    assert not state.locking.is_on


def test_a_locked_units_view_stays_whatever_a_phone_asks_for():
    state = from_page(Allowed.SPOT)
    made = acted(state, FromPage(ShowView("balance")))
    assert (made.view, made.locking.refusals) == (state.view, state.locking.refusals + 1)
    moved = acted(state, FromPage(PlaceSpot(700, 300)))
    assert moved.spot != state.spot


def test_a_view_asked_for_by_its_name_is_refused_and_that_is_shown():
    state = locked()
    after_it = acted(state, ShowView("expose"))
    assert after_it.view is state.view
    assert after_it.locking.refusals == state.locking.refusals + 1
