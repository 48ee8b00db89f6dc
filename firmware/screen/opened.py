"""SDL's window or display, opened once: what the splash has opened is what is drawn on later."""

import os

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import UNSEEN, card_with_screen

UNSEEN_SIZE = (1280, 720)

LARGEST = (1920, 1080)
"""More is drawn at this size and enlarged by the display: the layout is made for no more."""

Size = tuple[int, int]

_kept: dict[tuple[Drawing, Size | None, Size], pygame.Surface] = {}


def opened(drawing: Drawing, size: Size | None, largest: Size) -> pygame.Surface:
    """The window, or the one that was opened for the same already.

    Parameters
    ----------
    drawing:
        WINDOW, or UNSEEN for a picture in memory.
    size:
        (columns, rows); None takes the display's own.
    largest:
        More is drawn at this size and enlarged by the display.

    Raises
    ------
    ScreenError, pygame.error
        It would show nothing; it cannot be opened.
    """
    asked = drawing, size, largest
    kept = _kept.get(asked)
    if kept is not None and pygame.display.get_surface() is kept:
        return kept
    _kept.clear()
    if drawing is Drawing.UNSEEN:
        # SDL knows no other way to be told than the environment.
        os.environ["SDL_VIDEODRIVER"] = "dummy"
    card = card_with_screen()
    if card is not None:
        # Only looked at where SDL drives the screen itself, without a desktop.
        os.environ.setdefault("SDL_KMSDRM_DEVICE_INDEX", str(card))
    pygame.display.init()
    if drawing is Drawing.WINDOW and pygame.display.get_driver() in UNSEEN:
        raise ScreenError(
            f"SDL has chosen driver {pygame.display.get_driver()}, which shows nothing; "
            "install python3-pygame from apt: that of PyPI needs a desktop"
        )
    _kept[asked] = surface = _mode(drawing, size, largest)
    return surface


def closed() -> None:
    """Let go of the display."""
    _kept.clear()
    pygame.display.quit()


def _mode(drawing: Drawing, size: Size | None, largest: Size) -> pygame.Surface:
    if drawing is Drawing.UNSEEN:
        return pygame.display.set_mode(size or UNSEEN_SIZE, 0, 32)
    flags = pygame.SCALED
    if size is None:
        flags |= pygame.FULLSCREEN
        desktop = pygame.display.get_desktop_sizes()[0]
        size = (min(desktop[0], largest[0]), min(desktop[1], largest[1]))
    try:
        return pygame.display.set_mode(size, flags, 32, vsync=1)
    except pygame.error:
        # No renderer that waits for the screen: drawn unscaled, paced by the feed.
        return pygame.display.set_mode(size, flags & ~pygame.SCALED, 32)
