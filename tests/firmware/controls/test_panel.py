import time

import pytest
from gpiozero.pins.mock import MockFactory

from firmware.actions import Contact, Edge, Press
from firmware.clock import HandClock
from firmware.controls.buttons import Buttons
from firmware.controls.gpio_map import PinMap
from firmware.controls.lamp import Lamp
from firmware.controls.lamp_keeper import LampKeeper
from firmware.controls.panel import ButtonPanel, open_panel, opened_panel
from firmware.system.stages import Stages
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face, Shown, Source
from tests import views


class Screen:
    def __init__(self):
        self.pressed, self.done = [Press.HELP], []

    def actions(self):
        pressed, self.pressed = self.pressed, []
        return pressed

    def paint(self, shown):
        self.done.append(shown)

    def flip(self):
        self.done.append("flip")


@pytest.fixture
def factory():
    made = MockFactory()
    yield made
    made.reset()


def test_keys_and_buttons_come_together(factory):
    screen = Screen()
    panel = ButtonPanel(screen, Buttons(PinMap({6: Press.HOLD}), factory))
    factory.pin(6).drive_low()
    assert panel.actions() == [Press.HELP, Press.HOLD]
    assert panel.actions() == []


def moment(face=Face.LOST):
    return Shown(views.EXPOSE, TraceKind.LUMA, None, face, "", Source("", "", ""))


def test_painting_goes_to_the_screen(factory):
    screen = Screen()
    panel = ButtonPanel(screen, Buttons(PinMap({}), factory))
    panel.paint(moment())
    panel.flip()
    panel.close()
    assert [type(each) for each in screen.done] == [Shown, str]


def test_the_lamp_flashes_while_nothing_is_painted(factory):
    clock = HandClock()
    keeper = LampKeeper(Lamp(18, clock, factory), clock, Stages())
    panel = ButtonPanel(Screen(), Buttons(PinMap({}), factory), keeper)
    panel.paint(moment())
    states = []
    for _ in range(4):
        keeper.step()
        states.append(factory.pin(18).state)
        clock.move(0.5)
    assert states == [1, 0, 1, 0]
    panel.paint(moment(Face.STARTING))
    keeper.step()
    assert factory.pin(18).state == 0
    panel.close()


@pytest.fixture
def board(tmp_path):
    """Said to be a board."""
    (tmp_path / "proc/device-tree").mkdir(parents=True)
    (tmp_path / "proc/device-tree/model").write_text("Raspberry Pi 5 Model B Rev 1.0\0")
    return tmp_path


def test_machine_without_pins_has_no_buttons_and_no_warning(tmp_path):
    assert open_panel(Screen(), HandClock(), tmp_path) == (None, "")


def test_a_board_has_the_buttons_and_the_lamp_of_the_map_that_ships(board, factory):
    screen = Screen()
    panel, warning = open_panel(screen, HandClock(), board, factory)
    assert warning == ""
    factory.pin(6).drive_low()
    panel.paint(moment())
    assert panel.actions() == [Press.HELP, Edge(1, Contact.CLOSED, 0)]
    end = time.monotonic() + 5.0
    while factory.pin(18).state != 1:  # the lamp has a thread of its own
        assert time.monotonic() < end
        time.sleep(0.01)
    panel.close()
    again, _ = open_panel(screen, HandClock(), board, factory)
    again.close()


def test_a_map_of_ones_own_goes_over_it(board, factory):
    (board / "etc/midgrey").mkdir(parents=True)
    (board / "etc/midgrey/pins.toml").write_text("[buttons]\nhold = 4\n")
    panel, _ = open_panel(Screen(), HandClock(), board, factory)
    factory.pin(4).drive_low()
    assert panel.actions() == [Press.HELP, Press.HOLD]
    panel.close()


def test_a_press_is_answered_by_the_lamp_that_is_alone(board, factory):
    (board / "etc/midgrey").mkdir(parents=True)
    (board / "etc/midgrey/pins.toml").write_text(
        "[buttons]\nhold = 6\n[lamp]\nred = 16\ngreen = 20\nblue = 21\n[buzzer]\nbuzzer = 12\n"
    )
    panel, warning = open_panel(Screen(), HandClock(), board, factory)
    assert warning == ""
    factory.pin(6).drive_low()
    assert Press.HOLD in panel.actions()
    end = time.monotonic() + 5.0
    while factory.pin(12).state != 1:  # the keeper has a thread of its own
        assert time.monotonic() < end
        time.sleep(0.01)
    panel.close()
    assert {factory.pin(pin).function for pin in (12, 16, 20, 21)} == {"input"}
    open_panel(Screen(), HandClock(), board, factory)[0].close()


@pytest.mark.parametrize("taken", [16, 12, 18])
def test_one_pin_that_cannot_be_had_frees_all_others(board, factory, taken):
    (board / "etc/midgrey").mkdir(parents=True)
    (board / "etc/midgrey/pins.toml").write_text(
        "[buttons]\nhold = 6\n[lamp]\nlamp = 18\nover = 16\nunder = 20\n[buzzer]\nbuzzer = 12\n"
    )
    holder = Lamp(taken, HandClock(), factory)
    panel, warning = open_panel(Screen(), HandClock(), board, factory)
    assert panel is None
    assert "cannot be had" in warning
    holder.close()
    open_panel(Screen(), HandClock(), board, factory)[0].close()


def test_a_map_with_mistakes_is_a_warning(board, factory):
    (board / "etc/midgrey").mkdir(parents=True)
    (board / "etc/midgrey/pins.toml").write_text("[buttons]\nhold = 99\n")
    panel, warning = open_panel(Screen(), HandClock(), board, factory)
    assert panel is None
    assert "etc/midgrey/pins.toml: buttons.hold = 99" in warning


def test_a_lamp_that_cannot_be_had_lets_the_buttons_go(board, factory):
    holder = Lamp(18, HandClock(), factory)
    panel, warning = open_panel(Screen(), HandClock(), board, factory)
    assert panel is None
    assert "lamp cannot be had" in warning
    holder.close()
    open_panel(Screen(), HandClock(), board, factory)[0].close()


def test_pins_that_are_refused_are_a_warning(board):
    # Without the chip (or lgpio) of a board; there, it would be a chip in use.
    panel, warning = open_panel(Screen(), HandClock(), board)
    assert panel is None
    assert warning.startswith("buttons do not work: ")


def test_screen_without_pins_is_the_board_itself(tmp_path):
    screen = Screen()
    with opened_panel(screen, HandClock(), tmp_path) as (found, warnings):
        assert found is screen
        assert warnings == ()
