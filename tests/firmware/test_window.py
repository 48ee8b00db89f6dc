import pygame
import pytest

from firmware.errors import ScreenError
from firmware.options import Drawing
from firmware.window import Window

LARGEST = (1920, 1080)


@pytest.fixture
def memory():
    made = Window(Drawing.UNSEEN, (400, 300), LARGEST)
    yield made
    made.close()


def test_a_picture_in_memory_is_painted_on_directly(memory):
    assert memory.size == (400, 300)
    assert memory.sheet is pygame.display.get_surface()
    assert memory.under((3, 4)) == (3, 4)
    memory.show(memory.sheet)


def test_another_canvas_is_copied_onto_it(memory):
    canvas = pygame.Surface((400, 300), 0, 16)
    canvas.fill((255, 0, 0), (10, 20, 5, 5))
    memory.show(canvas)
    assert memory.sheet.get_at((12, 22))[:3] == (255, 0, 0)


@pytest.mark.parametrize("driver", ["dummy", "offscreen", "evdev"])
def test_a_driver_that_shows_nothing_is_refused(driver, monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", driver)
    with pytest.raises(ScreenError, match=f"driver {driver}, which shows nothing"):
        Window(Drawing.WINDOW, None, LARGEST)
    pygame.display.quit()


def test_a_driver_that_is_not_there_is_refused(monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", "nonsense")
    with pytest.raises(ScreenError, match="the display cannot be opened"):
        Window(Drawing.WINDOW, None, LARGEST)


def test_closing_lets_go_of_the_display(memory):
    memory.close()
    assert not pygame.display.get_init()
