"""A window, the whole display, or a picture in memory: everything that SDL itself shows."""

import os

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.find_display import UNSEEN, card_with_screen
from firmware.screen.glass import paintable

UNSEEN_SIZE = (1280, 720)

Size = tuple[int, int]


class Window:
    """What SDL shows.

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
    ScreenError
        The display cannot be opened, or would show nothing.
    """

    def __init__(self, drawing: Drawing, size: Size | None, largest: Size) -> None:
        if drawing is Drawing.UNSEEN:
            # SDL knows no other way to be told than the environment.
            os.environ["SDL_VIDEODRIVER"] = "dummy"
        card = card_with_screen()
        if card is not None:
            # Only looked at where SDL drives the screen itself, without a desktop.
            os.environ.setdefault("SDL_KMSDRM_DEVICE_INDEX", str(card))
        try:
            pygame.display.init()
            if drawing is Drawing.WINDOW and pygame.display.get_driver() in UNSEEN:
                raise ScreenError(
                    f"SDL has chosen driver {pygame.display.get_driver()}, which shows nothing; "
                    "install python3-pygame from apt: that of PyPI needs a desktop"
                )
            self._window = _opened(drawing, size, largest)
        except pygame.error as fault:
            raise ScreenError(
                f"the display cannot be opened ({fault}); check its cable and power, or run "
                "without a display"
            ) from fault
        pygame.display.set_caption("midgrey")
        if drawing is Drawing.WINDOW:
            pygame.mouse.set_visible(size is not None)

    @property
    def size(self) -> Size:
        """(columns, rows)."""
        return self._window.get_size()

    @property
    def sheet(self) -> pygame.Surface | None:
        """The window's own surface, where the painter can paint on it."""
        return self._window if paintable(self._window) else None

    def show(self, canvas: pygame.Surface) -> None:
        """Let it be seen; waits for the screen where the display does."""
        if canvas is not self._window:
            self._window.blit(canvas, (0, 0))
        pygame.display.flip()

    def under(self, at: Size) -> Size:
        """The same place."""
        return at

    def close(self) -> None:
        """Let go of the display."""
        pygame.display.quit()


def _opened(drawing: Drawing, size: Size | None, largest: Size) -> pygame.Surface:
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
