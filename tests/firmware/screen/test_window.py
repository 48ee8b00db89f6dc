import pygame
import pytest

from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.window import Window

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


@pytest.fixture
def display(monkeypatch):
    """A display of so many pixels, on which SDL makes a renderer, or cannot; what it was asked."""

    def make(desktop, renderer):
        asked = []

        def set_mode(size, flags=0, depth=0, vsync=0):
            asked.append(
                (size, bool(flags & pygame.SCALED), bool(flags & pygame.FULLSCREEN), vsync)
            )
            if flags & pygame.SCALED and not renderer:
                raise pygame.error("no renderer")
            return pygame.Surface(size, 0, depth)

        monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
        monkeypatch.setattr(pygame.display, "get_driver", lambda: "KMSDRM")
        monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda: [desktop])
        monkeypatch.setattr(pygame.display, "set_mode", set_mode)
        return asked

    return make


@pytest.mark.parametrize(
    ("desktop", "wanted"),
    [
        ((1280, 720), (1280, 720)),
        ((3840, 2160), LARGEST),
        ((800, 480), (800, 480)),
    ],
)
def test_the_whole_display_is_taken_in_step_with_it(display, desktop, wanted):
    asked = display(desktop, renderer=True)
    made = Window(Drawing.WINDOW, None, LARGEST)
    assert asked == [(wanted, True, True, 1)]
    assert made.size == wanted
    made.close()


def test_a_window_has_its_size_and_where_nothing_can_wait_it_is_drawn_all_the_same(display):
    asked = display((1280, 720), renderer=False)
    Window(Drawing.WINDOW, (640, 360), LARGEST).close()
    assert asked == [((640, 360), True, False, 1), ((640, 360), False, False, 0)]


def test_closing_lets_go_of_the_display(memory):
    memory.close()
    assert not pygame.display.get_init()
