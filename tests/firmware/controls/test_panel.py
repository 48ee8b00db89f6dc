import pytest
from gpiozero.pins.mock import MockFactory

from firmware.controls.buttons import Buttons
from firmware.controls.panel import Panel, open_buttons, opened_panel
from firmware.controls.pins import Pins
from firmware.state import Press


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
    panel = Panel(screen, Buttons(Pins({6: Press.HOLD}), factory))
    factory.pin(6).drive_low()
    assert panel.actions() == [Press.HELP, Press.HOLD]
    assert panel.actions() == []


def test_painting_goes_to_the_screen(factory):
    screen = Screen()
    panel = Panel(screen, Buttons(Pins({}), factory))
    panel.paint("moment")
    panel.flip()
    assert screen.done == ["moment", "flip"]


def test_machine_without_pins_has_no_buttons_and_no_warning(tmp_path):
    assert open_buttons(tmp_path) == (None, "")


def test_pins_that_are_refused_are_a_warning(tmp_path):
    # Said to be a board, without the chip (or lgpio) of one: there, it would be a chip in use.
    (tmp_path / "proc/device-tree").mkdir(parents=True)
    (tmp_path / "proc/device-tree/model").write_text("Raspberry Pi 5 Model B Rev 1.0\0")
    buttons, warning = open_buttons(tmp_path)
    assert buttons is None
    assert warning.startswith("buttons do not work: ")


def test_screen_without_pins_is_the_board_itself(tmp_path):
    screen = Screen()
    with opened_panel(screen, tmp_path) as (board, warnings):
        assert board is screen
        assert warnings == ()
