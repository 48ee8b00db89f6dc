"""The screen and its keyboard: the only place besides `overlays.draw` that knows pygame."""

import io
import os
from pathlib import Path

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.actions import GOES_ON, Action, Leave, PlaceSpot
from firmware.controls.keyboard import Key, press_of
from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.framebuffer import Framebuffer
from firmware.screen.glass import Glass, blank
from firmware.screen.rotation import Rotation, turned_size
from firmware.screen.turned import Turned
from firmware.screen.window import Window
from firmware.system.files import save, unsaved
from overlays.draw.layout.views import Layout
from overlays.draw.moment.shown import Shown
from overlays.draw.painter import Painter

LARGEST = (1920, 1080)
"""More is drawn at this size and enlarged by the display: the layout is made for no more."""
LEAST = (320, 240)


class Screen:
    """A window, the whole display, a panel's framebuffer, or a picture in memory.

    Parameters
    ----------
    drawing:
        Which of them.
    size:
        (columns, rows) of the window, or of the part of the panel; None takes the display's own.
    rotation:
        How the picture is turned on it.
    framebuffer:
        The node of the panel, where that is what is drawn on.

    Raises
    ------
    ScreenError
        The display cannot be opened, or the size is too small.
    """

    def __init__(
        self,
        drawing: Drawing,
        size: tuple[int, int] | None = None,
        *,
        rotation: Rotation = Rotation.NONE,
        framebuffer: Path | None = None,
    ) -> None:
        if size is not None:
            _check(turned_size(size, rotation))
        self._glass = _glass(drawing, size, rotation, framebuffer)
        try:
            _check(self._glass.size)
        except ScreenError:
            self._glass.close()
            raise
        pygame.key.set_repeat(350, 60)
        sheet = self._glass.sheet
        self._canvas = blank(self._glass.size) if sheet is None else sheet
        self._painter = Painter(self._canvas)
        self._layout: Layout | None = None
        self._shape = (0, 0)
        self._down: set[int] = set()

    @property
    def size(self) -> tuple[int, int]:
        """(columns, rows)."""
        return self._canvas.get_size()

    @property
    def missing(self) -> str:
        """One sentence where its typeface is not installed, else empty."""
        return self._painter.missing

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._layout = self._painter.paint(shown)
        measured = shown.measured
        self._shape = (0, 0) if measured is None else (measured.frame.columns, measured.frame.rows)

    def flip(self) -> None:
        """Let it be seen; waits for the screen where the display does."""
        self._glass.show(self._canvas)

    def actions(self) -> list[Action]:
        """What was pressed, clicked or touched since the last call."""
        found: list[Action] = []
        for event in pygame.event.get():
            if event.type == pygame.QUIT:
                found.append(Leave())
            elif event.type == pygame.KEYDOWN:
                found += self._pressed(event.key, shift=bool(event.mod & pygame.KMOD_SHIFT))
            elif event.type == pygame.KEYUP:
                self._down.discard(event.key)
            elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
                found += self._placed(event.pos)
            elif event.type == pygame.MOUSEMOTION and event.buttons[0]:
                found = _dragged(found, self._placed(event.pos))
            elif event.type == pygame.FINGERDOWN:
                found += self._touched(event)
            elif event.type == pygame.FINGERMOTION:
                found = _dragged(found, self._touched(event))
        return found

    def png(self) -> bytes:
        """What is on the screen, as the content of a PNG file."""
        made = io.BytesIO()
        pygame.image.save(self._canvas, made, "screenshot.png")
        return made.getvalue()

    def save(self, path: Path) -> None:
        """Write what is on the screen as PNG, whatever the file is called.

        Raises
        ------
        ScreenError
            The file cannot be written; one that was there before is as it was.
        """
        try:
            save(path, self.png())
        except OSError as fault:
            raise ScreenError(unsaved(path, "picture", fault)) from fault

    def close(self) -> None:
        """Let go of the display."""
        self._glass.close()

    def _pressed(self, key: int, *, shift: bool) -> list[Action]:
        """What a key asks for; one that is held down goes on only where that moves something."""
        press = press_of(Key(pygame.key.name(key), shift))
        held = key in self._down
        self._down.add(key)
        return [] if press is None or (held and press not in GOES_ON) else [press]

    def _touched(self, event: pygame.event.Event) -> list[Action]:
        """Without a desktop, SDL makes no click of a touch; with one, both say the same."""
        columns, rows = pygame.display.get_surface().get_size()
        return self._placed((int(event.x * columns), int(event.y * rows)))

    def _placed(self, at: tuple[int, int]) -> list[Action]:
        """The pixel of the feed's picture under a pixel of the screen, if there is one."""
        area = None if self._layout is None else self._layout.picture
        columns, rows = self._shape
        if area is None or not columns:
            return []
        seen = self._glass.under(at)
        across, down = seen[0] - area.left, seen[1] - area.top
        if not (0 <= across < area.width and 0 <= down < area.height):
            return []
        return [PlaceSpot(across * columns // area.width, down * rows // area.height)]


def _dragged(before: list[Action], to: list[Action]) -> list[Action]:
    """Of a drag only where it has come to matters."""
    if to and before and isinstance(before[-1], PlaceSpot):
        before = before[:-1]
    return [*before, *to]


def _check(size: tuple[int, int]) -> None:
    if size[0] < LEAST[0] or size[1] < LEAST[1]:
        raise ScreenError(
            f"a screen of {size[0]}x{size[1]} pixels; at least {LEAST[0]}x{LEAST[1]} are needed"
        )


def _glass(
    drawing: Drawing, size: tuple[int, int] | None, rotation: Rotation, framebuffer: Path | None
) -> Glass:
    """What is drawn on, turned where it was mounted turned."""
    largest = turned_size(LARGEST, rotation)
    glass: Glass
    if drawing is Drawing.FRAMEBUFFER and framebuffer is not None:
        glass = Framebuffer(framebuffer, size, largest)
    else:
        glass = Window(drawing, size, largest)
    return glass if rotation is Rotation.NONE else Turned(glass, rotation)
