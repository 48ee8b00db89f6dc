import numpy as np
import pygame
import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import theme_for
from overlays.draw.marks.pin_marks import draw_pins
from overlays.draw.moment.layers import PinShown
from overlays.draw.painter import MASKS
from overlays.measure.spot.spot import SpotPlace

PICTURE = Area(40, 20, 640, 360)
GREY = 0x808080


def drawn(*pins, picture=PICTURE):
    surface = pygame.Surface((720, 400), 0, 32, (*MASKS, 0))
    surface.fill(GREY)
    draw_pins(
        surface, Letters(), pins, PictureSeen(picture, Part(0, 0, 1920, 1080)), theme_for(1280, 720)
    )
    return pygame.surfarray.array2d(surface).T != GREY


def test_a_frame_stands_around_the_pin_and_leaves_it_free():
    changed = drawn(PinShown(SpotPlace(960, 540, 48), "1"))
    # Its pixels on the screen: a third of the feed's, from the picture's corner.
    left, top = 40 + (960 - 24) // 3, 20 + (540 - 24) // 3
    assert not changed[top : top + 16, left : left + 16].any()
    assert changed[top - 2, left : left + 16].all()
    assert changed[top : top + 16, left - 2].all()


@pytest.mark.parametrize("place", [SpotPlace(24, 24, 48), SpotPlace(1896, 1056, 48)])
def test_nothing_is_drawn_outside_of_the_picture(place):
    changed = drawn(PinShown(place, "8 black"))
    inside = np.zeros_like(changed)
    inside[20:380, 40:680] = True
    assert changed.any()
    assert not changed[~inside].any()


def test_a_flag_goes_below_where_there_is_no_room_above():
    changed = drawn(PinShown(SpotPlace(960, 24, 48), "3"))
    assert changed[20 + 16 + 4 : 20 + 16 + 24].any()


def test_no_pin_changes_nothing():
    assert not drawn().any()
