"""What lies in hardware/ agrees with the code, and with what the boards can do."""

import re
import tomllib

import pytest

from firmware.actions import Press
from firmware.controls.gpio_map import RAIL
from firmware.controls.wiring import PLACES
from firmware.v4l2.edid import LANE_BITS, MODES
from tests.places import ROOT

HARDWARE = ROOT / "hardware"
PINS = tomllib.loads((HARDWARE / "pins.toml").read_text())
# BCM number -> place on the header (Raspberry Pi documentation, "GPIO and the 40-pin header").
HEADER = {2: 3, 3: 5, 4: 7, 5: 29, 6: 31, 7: 26, 8: 24, 9: 21, 10: 19, 11: 23, 12: 32, 13: 33}
HEADER |= {14: 8, 15: 10, 16: 36, 17: 11, 18: 12, 19: 35, 20: 38, 21: 40, 22: 15, 23: 16, 24: 18}
HEADER |= {25: 22, 26: 37, 27: 13}
# I2C (EEPROM and bridge), serial console, SPI screen.
TAKEN = {0, 1, 2, 3, 7, 8, 9, 10, 11, 14, 15, 28, 29}


def every_pin():
    return [pin for table in PINS.values() for pin in table.values()]


def test_no_pin_does_two_things_and_none_is_taken():
    pins = every_pin()
    assert len(set(pins)) == len(pins)
    assert not set(pins) & TAKEN


def test_places_on_the_header_are_named_rightly():
    lines = (HARDWARE / "pins.toml").read_text().splitlines()
    noted = [re.fullmatch(r"\w+ = (\d+) +# (\d+)", line.strip()) for line in lines]
    pairs = {int(found[1]): int(found[2]) for found in noted if found}
    assert pairs == {pin: HEADER[pin] for pin in every_pin()}


def test_every_button_is_a_press_there_is():
    names = {press.name.lower() for press in Press}
    text = (HARDWARE / "pins.toml").read_text().partition("[encoder]")[0]
    named = re.findall(r"^# (\w+) = \d+", text, re.MULTILINE)
    assert named == ["hold"]
    assert set(named) | set(PINS["buttons"]) <= names


def test_the_four_buttons_of_the_rail_are_all_that_is_needed():
    assert list(PINS["rail"]) == list(RAIL)
    assert PINS["buttons"] == {}


def test_table_of_modes_is_the_arithmetic():
    text = (HARDWARE / "README.md").read_text()
    rows = re.findall(r"\| (\d+)p(\d+) \| (\d+) \| (\d) \| (yes|no) \| (yes|no) \|", text)
    assert len(rows) == len(MODES)
    for rows_, rate, mbits, lanes, two, four in rows:
        mode = next(m for m in MODES if (m.rows, m.rate) == (int(rows_), int(rate)))
        bits = mode.columns * mode.rows * mode.rate * 16
        assert int(mbits) == round(bits / 1e6)
        assert int(lanes) == -(-bits // LANE_BITS)
        assert (two, four) == ("yes" if int(lanes) <= 2 else "no", "yes")


@pytest.mark.parametrize("path", sorted(HARDWARE.glob("config-*.txt")), ids=lambda p: p.stem)
def test_boot_configuration_holds_settings_and_remarks_only(path):
    lines = path.read_text().splitlines()
    assert any(line.startswith("dtoverlay=tc358743") for line in lines)
    for line in lines:
        assert line.startswith("#") or re.fullmatch(r"\w+=[\w,=-]+", line), line


def test_checklist_is_numbered_without_a_gap():
    text = (HARDWARE / "checklist.md").read_text()
    numbers = [int(found) for found in re.findall(r"^\| (\d+) \|", text, re.MULTILINE)]
    assert numbers == list(range(1, len(numbers) + 1))


def test_currents_of_the_parts_are_added_rightly():
    text = (HARDWARE / "README.md").read_text()
    rows = re.findall(r"^\| ([^|]+) \| (\d\.\d\d) \| ([^|]+) \|$", text, re.MULTILINE)
    *parts, (_, total, whence) = [(name, float(amps), words) for name, amps, words in rows]
    assert len(parts) == 4
    assert total == pytest.approx(sum(amps for _, amps, _ in parts))
    watts = float(re.search(r"([\d.]+) W", whence)[1])
    assert watts == pytest.approx(5.0 * total, abs=0.06)
    lasts = re.search(r"lasts (\d) hours: (\d+) Wh x ([\d.]+) / ([\d.]+) W", text)
    hours, pack, share, of = lasts.groups()
    assert float(of) == watts
    assert float(pack) * float(share) / watts == pytest.approx(float(hours), abs=0.5)


def test_places_of_the_header_are_those_of_the_drawing():
    assert {pin: place for pin, place in PLACES.items() if pin > 1} == HEADER
