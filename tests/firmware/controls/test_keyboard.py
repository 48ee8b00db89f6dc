import pygame
import pytest

from firmware.actions import Press
from firmware.controls.keyboard import ENTRIES, RAIL_KEYS, Key, help_entries, press_of


def test_every_press_has_a_key():
    bound = {press for entry in ENTRIES for _, press in entry.keys}
    assert bound == set(Press)


def test_no_key_does_two_things():
    keys = [key for entry in ENTRIES for key, _ in entry.keys]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("key", [key for entry in ENTRIES for key, _ in entry.keys])
def test_key_names_are_those_of_the_library(key):
    pygame.display.init()
    try:
        code = pygame.key.key_code(key.name)
        assert pygame.key.name(code) == key.name
    finally:
        pygame.display.quit()


def test_shift_makes_arrows_fine_and_is_ignored_elsewhere():
    assert press_of(Key("left")) is Press.SPOT_LEFT
    assert press_of(Key("left", shift=True)) is Press.SPOT_LEFT_FINE
    assert press_of(Key("t", shift=True)) is Press.TRACE
    assert press_of(Key("p", shift=True)) is Press.PREVIOUS_PROFILE
    assert press_of(Key("f9")) is None


def test_four_keys_stand_for_the_buttons_of_the_rail_and_for_nothing_else():
    assert RAIL_KEYS == {"f1": 0, "f2": 1, "f3": 2, "f4": 3}
    assert all(press_of(Key(name)) is None for name in RAIL_KEYS)


def test_the_help_names_every_entry():
    assert [label for label, _ in help_entries()] == [entry.label for entry in ENTRIES]
    assert all(words for _, words in help_entries())
