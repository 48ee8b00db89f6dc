import pygame
import pytest

from firmware.actions import Contact, Edge, PlaceSpot, Press
from firmware.clock import HandClock
from firmware.commands.lineup import after_presses, light_words, lineup
from firmware.errors import ArgumentError
from firmware.screen.backlight import UNKNOWN, find_backlight
from firmware.written.options import LineupOptions


@pytest.fixture
def light(tmp_path):
    place = tmp_path / "panel0"
    place.mkdir()
    (place / "max_brightness").write_text("100")
    (place / "brightness").write_text("50")
    return find_backlight(tmp_path)


def test_any_press_goes_on_some_go_back_and_light_moves_in_place(light):
    assert after_presses([Press.MARK], 0, light) == (1, None)
    assert after_presses([Press.NEXT_VIEW, Press.PREVIOUS_VIEW], 1, light) == (1, None)
    assert after_presses([Press.SPOT_LEFT], 0, light) == (0, None)
    assert after_presses([Press.STRIPE_UP], 2, light) == (2, "panel light 55 %")
    assert after_presses([Press.STRIPE_DOWN, Press.STRIPE_DOWN], 2, light)[1] == "panel light 45 %"
    assert after_presses([Press.STRIPE_UP], 2, None) == (2, UNKNOWN)
    assert after_presses([Press.LIGHT_UP], 2, light)[1] == "panel light 50 %"
    assert after_presses([PlaceSpot(3, 4)], 2, light) == (2, None)
    assert after_presses([Press.MARK, Press.QUIT, Press.MARK], 2, light) == (-1, None)


def test_the_four_buttons_do_what_they_do_on_a_unit(light):
    darker, brighter, onward, done = (Edge(n, Contact.CLOSED) for n in range(4))
    assert after_presses([darker], 1, light) == (1, "panel light 45 %")
    assert after_presses([brighter], 1, light) == (1, "panel light 50 %")
    assert after_presses([onward, Edge(2, Contact.OPENED)], 1, light) == (2, None)
    assert after_presses([done], 1, light)[0] == -1


def test_the_picture_is_kept_as_a_file(tmp_path, light):
    shot = tmp_path / "lineup.png"
    options = LineupOptions(size="800x480", screenshot=shot)
    assert lineup(options, {}, HandClock(), root=tmp_path, lights=tmp_path) == 0
    picture = pygame.image.load(shot)
    assert picture.get_size() == (800, 480)
    assert tuple(picture.get_at((2, 2)))[:3] == (191, 191, 191)
    assert light_words(light) == "panel light 50 %"


def test_without_a_display_one_sentence_says_what_to_do(tmp_path):
    with pytest.raises(ArgumentError, match=r"--screenshot FILE\.png") as fault:
        lineup(LineupOptions(), {}, HandClock(), root=tmp_path, lights=tmp_path)
    assert "\n" not in str(fault.value)
