import sys
import types

import pytest
from gpiozero import GPIODeviceError

from firmware.controls.header import (
    board_factory,
    header_chip,
    is_board,
    pin_faults,
    pin_refused,
)
from firmware.errors import ScreenError


@pytest.fixture
def machine(tmp_path):
    """A machine of a model, with GPIO chips."""

    def make(model, *chips):
        place = tmp_path / "proc/device-tree/model"
        place.parent.mkdir(parents=True)
        place.write_text(f"{model}\0")
        (tmp_path / "dev").mkdir()
        for chip in chips:
            (tmp_path / f"dev/gpiochip{chip}").touch()
        return tmp_path

    return make


@pytest.mark.parametrize(
    ("model", "chips", "wanted"),
    [
        ("Raspberry Pi 5 Model B Rev 1.0", (0, 4), 4),  # kernels before 6.6.45
        ("Raspberry Pi 5 Model B Rev 1.0", (0, 10), 0),
        ("Raspberry Pi 4 Model B Rev 1.1", (0, 1, 4), 0),
        ("Raspberry Pi Zero 2 W Rev 1.0", (0,), 0),
    ],
)
def test_chip_of_the_header(machine, model, chips, wanted):
    root = machine(model, *chips)
    assert header_chip(root) == wanted
    assert is_board(root)


def test_a_laptop_is_no_board(machine, tmp_path):
    assert not is_board(tmp_path)
    assert not is_board(machine("Some other board", 0))


class Library(types.ModuleType):
    """A stand-in for the library that is on a board only: it can open chip 0, or nothing."""

    class error(Exception):  # noqa: N801, N818 - named as in the library
        pass

    def __init__(self):
        super().__init__("lgpio")
        self.chips, self.opened = {0}, list[int]()

    def gpiochip_open(self, chip):
        if chip not in self.chips:
            raise self.error("can not open gpiochip")
        self.opened.append(chip)
        return 7

    def gpiochip_close(self, handle):
        pass


@pytest.fixture
def lgpio(monkeypatch):
    """The stand-in in the library's place."""
    made = Library()
    for name in ("SET_PULL_NONE", "SET_PULL_UP", "SET_PULL_DOWN"):
        setattr(made, name, 0)
    for name in ("BOTH_EDGES", "RISING_EDGE", "FALLING_EDGE"):
        setattr(made, name, 0)
    monkeypatch.setitem(sys.modules, "lgpio", made)
    monkeypatch.delitem(sys.modules, "gpiozero.pins.lgpio", raising=False)
    yield made
    sys.modules.pop("gpiozero.pins.lgpio", None)


@pytest.mark.parametrize(
    ("environ", "wanted"),
    [
        ({"LG_WD": "/run/midgrey", "XDG_RUNTIME_DIR": "/run/user/1"}, "/run/midgrey"),
        ({"XDG_RUNTIME_DIR": "/run/user/1"}, "/run/user/1"),
        ({}, None),
    ],
)
def test_its_pipe_goes_where_it_can_be_made(lgpio, machine, monkeypatch, tmp_path, environ, wanted):
    import os  # noqa: PLC0415

    monkeypatch.delenv("LG_WD", raising=False)
    monkeypatch.delenv("XDG_RUNTIME_DIR", raising=False)
    for name, value in environ.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    factory = board_factory(machine("Raspberry Pi 4 Model B Rev 1.1", 0))
    assert os.environ["LG_WD"] == (wanted or str(tmp_path))
    assert lgpio.opened == [factory.chip] == [0]
    monkeypatch.delenv("LG_WD")


def test_a_chip_that_cannot_be_opened_is_one_sentence(lgpio, machine, monkeypatch):
    monkeypatch.setenv("LG_WD", "/run")
    lgpio.chips.clear()
    with pytest.raises(ScreenError, match=r"can not open gpiochip.*group gpio"):
        board_factory(machine("Raspberry Pi 4 Model B Rev 1.1", 0))
    assert lgpio.error in pin_faults()


def test_the_kernels_and_gpiozeros_faults_are_known():
    faults = pin_faults()
    assert issubclass(GPIODeviceError, faults)
    assert issubclass(PermissionError, faults)
    assert "no other program" in str(pin_refused(OSError("busy")))
