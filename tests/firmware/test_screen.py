import pygame
import pytest

from firmware.errors import ScreenError
from firmware.options import Drawing
from firmware.screen import Screen
from firmware.state import PlaceSpot, Press
from overlays.draw.shown import Face, Shown, Source
from overlays.draw.views import TraceKind, View, layout


@pytest.fixture
def screen():
    made = Screen(Drawing.UNSEEN, (800, 480))
    yield made
    made.close()


def starting(view=View.EXPOSE, measured=None):
    return Shown(view, TraceKind.LUMA, measured, Face.STARTING, "opening", Source("", "", "bench"))


@pytest.mark.parametrize("size", [(800, 480), (1280, 720), (1920, 1080), None])
def test_a_screen_in_memory_has_the_size_asked_for(size):
    made = Screen(Drawing.UNSEEN, size)
    try:
        assert made.size == (size or (1280, 720))
    finally:
        made.close()


@pytest.mark.parametrize("size", [(100, 480), (800, 100)])
def test_a_screen_too_small_to_read_is_refused(size):
    with pytest.raises(ScreenError, match="at least 320x240"):
        Screen(Drawing.UNSEEN, size)


def test_what_is_painted_can_be_saved(screen, tmp_path):
    screen.paint(starting())
    screen.flip()
    screen.save(tmp_path / "s.png")
    image = pygame.image.load(tmp_path / "s.png")
    assert image.get_size() == (800, 480)
    assert pygame.surfarray.array2d(image).any()


def test_a_picture_is_png_whatever_the_file_is_called(screen, tmp_path):
    screen.save(tmp_path / "shot")
    assert (tmp_path / "shot").read_bytes().startswith(b"\x89PNG")


def test_a_folder_that_is_not_there_is_named(screen, tmp_path):
    with pytest.raises(ScreenError, match="cannot be written"):
        screen.save(tmp_path / "none" / "s.png")


def press(key, mod=0):
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))


def test_keys_become_presses_in_their_order(screen):
    screen.actions()
    press(pygame.K_LEFT)
    press(pygame.K_LEFT, pygame.KMOD_LSHIFT)
    press(pygame.K_F9)
    press(pygame.K_v)
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    assert screen.actions() == [
        Press.SPOT_LEFT,
        Press.SPOT_LEFT_FINE,
        Press.NEXT_VIEW,
        Press.QUIT,
    ]
    assert screen.actions() == []


def click(at, button=1):
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=at, button=button))


def test_a_touch_of_the_picture_places_the_spot(screen, frame):
    class Pretended:
        """Only the size of a measured frame matters here."""

    measured = Pretended()
    measured.frame = frame(500, rows=54, columns=96)
    screen.actions()
    screen._layout = layout(View.EXPOSE, (800, 480), (96, 54))
    screen._shape = (96, 54)
    area = screen._layout.picture
    click((area.left, area.top))
    click((area.right - 1, area.bottom - 1))
    click((area.right + 1, area.top))
    click((area.left, area.top), button=3)
    assert screen.actions() == [PlaceSpot(0, 0), PlaceSpot(95, 53)]


def test_a_touch_means_nothing_before_the_first_frame(screen):
    screen.paint(starting())
    screen.actions()
    click((400, 200))
    assert screen.actions() == []
