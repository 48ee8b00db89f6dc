"""The splash: words on the very window that is drawn on later, before anything heavy is loaded."""

import sys

import numpy as np
import pygame
import pytest

from firmware.screen import opened as opened_module
from firmware.screen import splash
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import Display, Driver
from firmware.screen.window import Window
from firmware.written.options import RunOptions
from overlays.draw.layout import theme
from tests.running import process

LARGEST = opened_module.LARGEST

# SDL says so of a picture in memory, which stands in for a screen here.
pytestmark = pytest.mark.filterwarnings("ignore:no fast renderer available")


@pytest.fixture(name="display")
def _display(monkeypatch):
    """SDL's picture in memory, taken for a screen."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setattr(opened_module, "UNSEEN", frozenset())
    seen = Display(Driver.X11, "a screen in memory")
    monkeypatch.setattr(splash, "find_display", lambda *_: seen)
    yield
    opened_module.closed()


def lit_box():
    """Where the window is brighter than its ground: (left, top, right, bottom)."""
    window = pygame.display.get_surface()
    lit = np.argwhere((pygame.surfarray.array3d(window) != splash.GROUND).any(axis=2))
    (left, top), (right, bottom) = lit.min(axis=0), lit.max(axis=0) + 1
    return int(left), int(top), int(right), int(bottom)


@pytest.mark.parametrize("size", ["480x320", "800x480", "1280x720"])
@pytest.mark.usefixtures("display")
def test_its_words_stand_whole_in_the_middle(size):
    assert splash.before(RunOptions(size=size), {})
    columns, rows = map(int, size.split("x"))
    assert pygame.display.get_surface().get_size() == (columns, rows)
    left, top, right, bottom = lit_box()
    assert 0 < left < columns // 2 < right < columns
    assert abs((left + right) / 2 - columns / 2) <= 3
    assert abs((top + bottom) / 2 - rows / 2) < rows / 20


@pytest.mark.usefixtures("display")
def test_on_a_panel_that_is_mounted_turned_it_is_turned():
    assert splash.before(RunOptions(size="480x800", rotate=90), {})
    left, top, right, bottom = lit_box()
    assert bottom - top > 2 * (right - left)


@pytest.mark.usefixtures("display")
def test_what_it_opened_is_what_is_drawn_on_later():
    assert splash.before(RunOptions(size="640x360"), {})
    shown = pygame.display.get_surface()
    window = Window(Drawing.WINDOW, (640, 360), LARGEST)
    assert window.sheet is shown
    window.close()
    assert pygame.display.get_surface() is None


@pytest.mark.usefixtures("display")
def test_a_window_of_another_size_is_opened_anew():
    assert splash.before(RunOptions(size="640x360"), {})
    window = Window(Drawing.WINDOW, (800, 480), LARGEST)
    assert window.size == (800, 480)
    window.close()


@pytest.mark.parametrize(
    "options", [RunOptions(headless=True), RunOptions(size="big"), RunOptions(rotate=45)]
)
@pytest.mark.usefixtures("display")
def test_what_the_run_will_refuse_or_not_draw_is_left_to_it(options):
    assert not splash.before(options, {})
    assert pygame.display.get_surface() is None


@pytest.mark.usefixtures("display")
def test_a_display_that_cannot_be_opened_is_left_to_the_run(monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", "no such driver")
    assert not splash.before(RunOptions(), {})


@pytest.mark.parametrize("driver", [Driver.NONE, Driver.FRAMEBUFFER])
def test_without_a_screen_of_sdls_there_is_none(monkeypatch, driver):
    monkeypatch.setattr(splash, "find_display", lambda *_: Display(driver, ""))
    assert not splash.before(RunOptions(), {})


def test_nothing_that_measures_is_loaded_for_it():
    code = """
import sys
from firmware.screen import find_display, splash
from firmware.screen.find_display import Display, Driver
from firmware.written.options import RunOptions
find_display.UNSEEN = frozenset()
splash.find_display = lambda *_: Display(Driver.X11, "")
print(splash.before(RunOptions(size="640x360"), {}))
heavy = {"numba", "pydantic", "av", "scipy", "pkg_resources", "overlays.draw.painter"}
print(sorted(heavy & set(sys.modules)))
"""
    environ = {"SDL_VIDEODRIVER": "dummy"}
    done = process(start=[sys.executable, "-c", code], environ=environ)
    assert done.stdout.split("\n")[:2] == ["True", "[]"], done.stderr


def test_its_colours_are_those_of_every_other_screen():
    theirs = theme.GROUND, theme.TEXT, theme.QUIET
    assert theirs == (splash.GROUND, splash.TEXT, splash.QUIET)
