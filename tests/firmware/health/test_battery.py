"""Batteries as the kernel's files name them: the machine's own, and nothing made up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.battery import (
    FOLDER,
    BatteryGoing,
    BatteryLevel,
    BatteryLook,
    look_at_batteries,
)


@pytest.fixture
def put(cardboard):
    def there(name, **files):
        for file, words in {"type": "Battery", **files}.items():
            cardboard.put(f"{FOLDER}/{name}/{file}", f"{words}\n")
        return look_at_batteries(cardboard.root)

    return there


def test_a_machine_without_one_has_none(cardboard):
    assert look_at_batteries(cardboard.root) == ()
    cardboard.put(f"{FOLDER}/usb/type", "USB\n")
    cardboard.put(f"{FOLDER}/usb/capacity", "50\n")
    assert look_at_batteries(cardboard.root) == ()


def test_what_a_battery_says(put):
    (found,) = put(
        "bat0", capacity=73, capacity_error_margin=5, capacity_level="Low", status="Discharging"
    )
    assert found == BatteryLook("bat0", 73, 5, BatteryLevel.LOW, BatteryGoing.DISCHARGING)


def test_a_supply_that_bridges_a_cut_is_one(put):
    (found,) = put("ups", type="UPS", capacity=100, status="Full")
    assert (found.percent, found.going, found.level) == (100, BatteryGoing.FULL, None)


@pytest.mark.parametrize("more", [{"scope": "Device"}, {"present": 0}])
def test_a_mouses_and_one_that_was_taken_out_are_none(put, more):
    assert put("bat0", capacity=73, **more) == ()


@pytest.mark.parametrize("wrong", ["", "full", "-1", "101", "1e2", "50 %"])
def test_what_it_cannot_say_is_not_known(put, wrong):
    (found,) = put("bat0", capacity=wrong, status="Unknown", capacity_level="Normal")
    assert found == BatteryLook("bat0")


@given(st.text(max_size=80))
def test_whatever_stands_there_is_a_percentage_or_not_known(tmp_path_factory, words):
    root = tmp_path_factory.mktemp("root")
    folder = root / FOLDER / "bat"
    folder.mkdir(parents=True)
    (folder / "type").write_text("Battery")
    for file in ("capacity", "status", "capacity_level", "capacity_error_margin"):
        (folder / file).write_text(words, encoding="utf-8", errors="replace")
    (found,) = look_at_batteries(root)
    assert found.percent is None or 0 <= found.percent <= 100
