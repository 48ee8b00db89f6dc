"""A window, the whole display, or a picture in memory: everything that SDL itself shows."""

import os

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.glass import paintable
from firmware.screen.opened import closed, opened

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
        try:
            self._window = opened(drawing, size, largest)
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
        closed()
