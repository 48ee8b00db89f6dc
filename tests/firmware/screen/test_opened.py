import pygame
import pytest

from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.opened import LARGEST, UNSEEN_SIZE, closed, opened


@pytest.fixture(autouse=True)
def _closed_at_the_end():
    yield
    closed()


def test_the_same_is_opened_once():
    first = opened(Drawing.UNSEEN, (640, 360), LARGEST)
    first.fill((1, 2, 3))
    assert opened(Drawing.UNSEEN, (640, 360), LARGEST) is first
    assert first.get_at((5, 5))[:3] == (1, 2, 3)


def test_another_size_and_a_display_that_was_closed_are_opened_anew():
    opened(Drawing.UNSEEN, (640, 360), LARGEST)
    assert opened(Drawing.UNSEEN, (800, 480), LARGEST).get_size() == (800, 480)
    closed()
    assert pygame.display.get_surface() is None
    assert opened(Drawing.UNSEEN, None, LARGEST).get_size() == UNSEEN_SIZE


def test_a_mode_that_somebody_else_has_set_since_is_not_handed_out():
    first = opened(Drawing.UNSEEN, (640, 360), LARGEST)
    pygame.display.quit()
    again = opened(Drawing.UNSEEN, (640, 360), LARGEST)
    assert again is not first
    assert again is pygame.display.get_surface()


def test_what_would_show_nothing_is_refused(monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    with pytest.raises(ScreenError, match="shows nothing"):
        opened(Drawing.WINDOW, None, LARGEST)
