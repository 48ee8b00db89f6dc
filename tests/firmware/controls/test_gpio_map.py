from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import Press
from firmware.controls.gpio_map import LAST, PinMap, read_pins, shipped_pins
from firmware.errors import ArgumentError


def written(tmp_path, text):
    path = tmp_path / "pins.toml"
    path.write_text(text)
    return path


def test_map_that_ships_is_read_whole():
    pins = read_pins(shipped_pins())
    assert (pins.rail, pins.buttons) == ((5, 6, 13, 19), {})
    assert pins.encoder == (17, 27)
    assert (pins.encoder_press, pins.lamp) == (22, 18)


def test_buttons_of_a_press_each_are_read_as_before(tmp_path):
    pins = read_pins(written(tmp_path, "[buttons]\nhold = 5\nnext_view = 6\n"))
    assert (pins.buttons, pins.rail) == ({5: Press.HOLD, 6: Press.NEXT_VIEW}, ())


def test_empty_map_is_no_pins(tmp_path):
    assert read_pins(written(tmp_path, "")) == PinMap({})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[buttons]\nhold = 40\n", "buttons.hold = 40; a BCM number from 0 to 27"),
        ("[buttons]\nhold = true\n", "BCM number"),
        ("[buttons]\nhodl = 4\n", "buttons.hodl is unknown.*hold"),
        ("[buttons]\nhold = 4\nhelp = 4\n", "already the pin of buttons.hold"),
        ("[buttons]\nhold = 3\n", "I2C"),
        ("[button]\nhold = 4\n", "button is no table.*buttons"),
        ("[encoder]\na = 4\n", "both a and b"),
        ("[rail]\nfirst = 4\nthird = 5\n", "rail needs all four: first, second, third, fourth"),
        ("[rail]\nfifth = 4\n", "rail.fifth is unknown"),
        ("[lamp]\nlight = 4\n", "lamp.light is unknown"),
        ("[lamp]\nred = 4\n", "lamp needs all of red, green, blue, or none of them"),
        ("[lamp]\nunder = 4\n", "lamp needs all of over, under, or none of them"),
        ("[lamp]\nover = 4\nunder = 5\n[buzzer]\nbuzzer = 5\n", "already the pin of lamp.under"),
        ("[buttons\n", "pins.toml"),
    ],
)
def test_mistakes_are_named_with_their_key(tmp_path, text, words):
    with pytest.raises(ArgumentError, match=words):
        read_pins(written(tmp_path, text))


def test_all_mistakes_come_in_one_report(tmp_path):
    path = written(tmp_path, "[buttons]\nhold = 99\nhelp = -1\n[lamps]\nx = 1\n")
    with pytest.raises(ArgumentError) as caught:
        read_pins(path)
    assert len(str(caught.value).splitlines()) == 3


def test_missing_file_is_one_sentence():
    with pytest.raises(ArgumentError, match="cannot be read"):
        read_pins(Path("/nowhere/pins.toml"))


@given(pin=st.integers(-100, 100))
def test_a_pin_is_on_the_header_or_refused(tmp_path_factory, pin):
    path = written(tmp_path_factory.mktemp("pins"), f"[lamp]\nlamp = {pin}\n")
    if 0 <= pin <= LAST and pin not in {2, 3}:
        assert read_pins(path).lamp == pin
    else:
        with pytest.raises(ArgumentError):
            read_pins(path)


@pytest.mark.parametrize(
    "content",
    [b"lamp = " + b"[" * 1200 + b"]" * 1200, b"[lamp]\nlamp = " + b"9" * 5000, b'a = "\xe9"'],
    ids=["nested", "digits", "latin"],
)
def test_a_pin_map_that_is_no_toml_gets_a_sentence(tmp_path, content):
    """Nested 1 200 deep it ended in RecursionError (issue 19, item 13)."""
    path = tmp_path / "pins.toml"
    path.write_bytes(content)
    with pytest.raises(ArgumentError, match=r"pins\.toml"):
        read_pins(path)


def test_a_lamp_that_is_alone_and_a_buzzer_are_read(tmp_path):
    text = "[lamp]\nred = 16\ngreen = 20\nblue = 21\nover = 23\nunder = 24\n[buzzer]\nbuzzer = 12\n"
    pins = read_pins(written(tmp_path, text))
    assert (pins.colours, pins.pair, pins.buzzer, pins.lamp) == ((16, 20, 21), (23, 24), 12, None)
