"""The drawing is that of the pin map, whichever it is."""

import xml.etree.ElementTree as ET

import pytest

from firmware.actions import Press
from firmware.controls.gpio_map import PinMap, read_pins
from firmware.controls.wiring import GROUNDS, PLACES, SUPPLIES, WiredPart, drawing, wired_pins
from tests.places import ROOT

HARDWARE = ROOT / "hardware"
FULL = PinMap(
    buttons={26: Press.HOLD},
    encoder=(17, 27),
    encoder_press=22,
    lamp=18,
    colours=(16, 20, 21),
    pair=(23, 24),
    buzzer=12,
    rail=(5, 6, 13, 19),
)
INK = "{http://www.w3.org/2000/svg}text"


def dark(svg):
    """Numbers of the places that are drawn as used."""
    return {int(each.text) for each in ET.fromstring(svg).iter(INK) if each.get("fill") == "#fff"}


def test_the_drawing_that_ships_is_of_the_pins_that_ship():
    """Mend it by `python -m firmware.controls.wiring hardware/pins.toml > hardware/wiring.svg`."""
    made = drawing(read_pins(HARDWARE / "pins.toml"))
    assert made == (HARDWARE / "wiring.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("pins", [FULL, PinMap(), PinMap(lamp=4), PinMap(rail=(5, 6, 13, 19))])
def test_every_pin_that_is_used_is_marked_and_named_and_no_other(pins):
    svg = drawing(pins)
    used = list(wired_pins(pins))
    assert dark(svg) == {each.place for each in used}
    texts = [each.text for each in ET.fromstring(svg).iter(INK)]
    for each in used:
        assert texts.count(each.words) == 1


def test_a_whole_map_has_a_part_for_each_pin():
    parts = [each.part for each in wired_pins(FULL)]
    assert len(parts) == 15
    assert parts.count(WiredPart.LAMP) == 6
    assert parts.count(WiredPart.BUZZER) == 1


def test_the_header_has_forty_places_each_of_one_kind():
    kinds = [*PLACES.values(), *GROUNDS, *SUPPLIES]
    assert sorted(kinds) == list(range(1, 41))


def test_nothing_is_drawn_outside_of_the_sheet():
    root = ET.fromstring(drawing(FULL))
    width, height = int(root.get("width")), int(root.get("height"))
    for each in root.iter():
        for name, most in (("x", width), ("cx", width), ("y", height), ("cy", height)):
            if each.get(name) is not None:
                assert 0 <= int(each.get(name)) <= most
