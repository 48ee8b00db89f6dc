import pygame
import pytest

from overlays.draw.layout.areas import Area
from overlays.draw.layout.monitor import PLAIN, Monitor
from overlays.draw.layout.seen import Part, PictureSeen
from overlays.draw.layout.theme import TEXT, pixel_of, theme_for
from overlays.draw.marks.frame_lines import draw_frame_lines, framed, shared
from overlays.draw.painter import MASKS

PICTURE = Area(40, 20, 640, 360)
SEEN = PictureSeen(PICTURE, Part(0, 0, 1920, 1080))


@pytest.mark.parametrize("ratio", [0.5, 1.0, 4 / 3, 16 / 9, 1.85, 2.39, 4.0])
def test_a_frame_has_its_ratio_and_is_the_largest_in_the_middle(ratio):
    found = framed(PICTURE, ratio)
    assert found.width / found.height == pytest.approx(ratio, rel=0.01)
    assert PICTURE.holds(found)
    assert found.width == PICTURE.width or found.height == PICTURE.height
    assert abs((found.left - PICTURE.left) - (PICTURE.right - found.right)) <= 1


def test_ninety_percent_of_width_and_height_are_left():
    assert shared(Area(0, 0, 1000, 500), 90.0) == Area(50, 25, 900, 450)


def drawn(monitor, seen=SEEN):
    surface = pygame.Surface((720, 400), 0, 32, (*MASKS, 0))
    surface.fill((255, 255, 255))
    draw_frame_lines(surface, monitor, seen, (1920, 1080), theme_for(720, 400))
    return pygame.surfarray.array2d(surface).T & 0xFFFFFF


def test_lines_stand_where_the_frame_is_and_read_on_white():
    pixels = drawn(Monitor(ratios=(2.0,), frame=0))
    top = PICTURE.top + (360 - 320) // 2
    assert (pixels[top, PICTURE.left + 1 : PICTURE.right - 1] == pixel_of(TEXT)).all()
    assert (pixels[top + 1, 100:600] < 0x202020).all()
    assert not (pixels == 0xFFFFFF)[top - 1, 100:600].any()
    middle = (PICTURE.top + 180, PICTURE.left + 320)
    assert pixels[middle] == pixel_of(TEXT)


def test_nothing_is_drawn_without_a_frame_or_beyond_the_picture():
    assert (drawn(PLAIN) == 0xFFFFFF).all()
    magnified = PictureSeen(PICTURE, Part(480, 272, 960, 540))
    pixels = drawn(Monitor(frame=2), magnified)
    pixels[PICTURE.top : PICTURE.bottom, PICTURE.left : PICTURE.right] = 0xFFFFFF
    assert (pixels == 0xFFFFFF).all()
