"""The screen and its keyboard: the only place besides `overlays.draw` that knows pygame."""

import io
import os
from pathlib import Path

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.controls.keyboard import Key, press_of
from firmware.display import UNSEEN, card_with_screen
from firmware.errors import ScreenError
from firmware.options import Drawing
from firmware.state import Action, PlaceSpot, Press
from overlays.draw.painter import MASKS, Painter
from overlays.draw.shown import Shown
from overlays.draw.views import Layout

UNSEEN_SIZE = (1280, 720)
LARGEST = (1920, 1080)
"""More is drawn at this size and enlarged by the display: the layout is made for no more."""
LEAST = (320, 240)


class Screen:
    """A window, the whole display, or a picture in memory.

    Parameters
    ----------
    drawing:
        Whether there is a display.
    size:
        (columns, rows); None takes the display's own.

    Raises
    ------
    ScreenError
        The display cannot be opened, or the size is too small.
    """

    def __init__(self, drawing: Drawing, size: tuple[int, int] | None = None) -> None:
        if size is not None and (size[0] < LEAST[0] or size[1] < LEAST[1]):
            raise ScreenError(
                f"a screen of {size[0]}x{size[1]} pixels; at least {LEAST[0]}x{LEAST[1]} are needed"
            )
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
            self._window = _opened(drawing, size)
        except pygame.error as fault:
            raise ScreenError(
                f"the display cannot be opened ({fault}); check its cable and power, or run "
                "without a display"
            ) from fault
        pygame.display.set_caption("midgrey")
        if drawing is Drawing.WINDOW:
            pygame.mouse.set_visible(size is not None)
        pygame.key.set_repeat(350, 60)
        self._canvas = self._window
        if self._window.get_bitsize() != 32 or self._window.get_masks()[:3] != MASKS:
            self._canvas = pygame.Surface(self._window.get_size(), 0, 32, (*MASKS, 0))
        self._painter = Painter(self._canvas)
        self._layout: Layout | None = None
        self._shape = (0, 0)

    @property
    def size(self) -> tuple[int, int]:
        """(columns, rows)."""
        return self._canvas.get_size()

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._layout = self._painter.paint(shown)
        measured = shown.measured
        self._shape = (0, 0) if measured is None else (measured.frame.columns, measured.frame.rows)

    def flip(self) -> None:
        """Let it be seen; waits for the screen where the display does."""
        if self._canvas is not self._window:
            self._window.blit(self._canvas, (0, 0))
        pygame.display.flip()

    def actions(self) -> list[Action]:
        """What was pressed, clicked or touched since the last call."""
        found: list[Action] = []
        for event in pygame.event.get():
            if event.type == pygame.QUIT:
                found.append(Press.QUIT)
            elif event.type == pygame.KEYDOWN:
                shift = bool(event.mod & pygame.KMOD_SHIFT)
                press = press_of(Key(pygame.key.name(event.key), shift))
                if press is not None:
                    found.append(press)
            elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
                placed = self._placed(event.pos)
                if placed is not None:
                    found.append(placed)
        return found

    def save(self, path: Path) -> None:
        """Write what is on the screen as PNG.

        Raises
        ------
        ScreenError
            The file cannot be written.
        """
        # By way of memory: whatever the file is called, it is PNG.
        made = io.BytesIO()
        pygame.image.save(self._canvas, made, "screenshot.png")
        try:
            path.write_bytes(made.getvalue())
        except OSError as fault:
            raise ScreenError(
                f"{path}: the picture cannot be written ({fault.strerror}); check the folder"
            ) from fault

    def close(self) -> None:
        """Let go of the display."""
        pygame.display.quit()

    def _placed(self, at: tuple[int, int]) -> PlaceSpot | None:
        """The pixel of the feed's picture under a pixel of the screen."""
        area = None if self._layout is None else self._layout.picture
        columns, rows = self._shape
        if area is None or not columns:
            return None
        across, down = at[0] - area.left, at[1] - area.top
        if not (0 <= across < area.width and 0 <= down < area.height):
            return None
        return PlaceSpot(across * columns // area.width, down * rows // area.height)


def _opened(drawing: Drawing, size: tuple[int, int] | None) -> pygame.Surface:
    if drawing is Drawing.UNSEEN:
        return pygame.display.set_mode(size or UNSEEN_SIZE, 0, 32)
    flags = pygame.SCALED
    if size is None:
        flags |= pygame.FULLSCREEN
        desktop = pygame.display.get_desktop_sizes()[0]
        size = (min(desktop[0], LARGEST[0]), min(desktop[1], LARGEST[1]))
    try:
        return pygame.display.set_mode(size, flags, 32, vsync=1)
    except pygame.error:
        # No renderer that waits for the screen: drawn unscaled, paced by the feed.
        return pygame.display.set_mode(size, flags & ~pygame.SCALED, 32)
