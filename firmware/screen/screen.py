"""The screen and its keyboard: the only place besides `overlays.draw` that knows pygame."""

import os
from collections.abc import Callable
from pathlib import Path

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.actions import GOES_ON, Action, Contact, Edge, Leave, PlaceSpot
from firmware.controls.keyboard import RAIL_KEYS, Key, press_of
from firmware.errors import ScreenError
from firmware.screen.drawing import Drawing
from firmware.screen.framebuffer import Framebuffer
from firmware.screen.glass import Glass, blank
from firmware.screen.opened import LARGEST
from firmware.screen.png import png_of
from firmware.screen.rotation import Rotation, turned_size
from firmware.screen.turned import Turned
from firmware.screen.window import Window
from firmware.system.files import save, unsaved
from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.lettering import Block, Letters, Piece, Text
from overlays.draw.layout.panel_size import PanelSize
from overlays.draw.layout.theme import Theme, theme_for
from overlays.draw.moment.shown import Shown
from overlays.draw.painter import Painter
from overlays.sharing.crew import ALONE, Crew

LEAST = (320, 240)
EVERY, DARK, LIT_SHARE = 4, 64, 0.002
"""Of a screen every so manieth pixel each way is looked at; up to that code of 255 it is dark;
words alone, over a picture of a capped lens, light up ten times that share."""


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
    crew:
        Who shares the work of drawing.

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
        crew: Crew = ALONE,
        panel: PanelSize | None = None,
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
        self._painter, self._panel = Painter(self._canvas, crew, panel), panel
        self._layout: Layout | None = None
        self._has_rail = False
        self._down: set[int] = set()
        self._touching: int | None = None

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
        self._has_rail = bool(shown.rail)

    def lay(self, made: Callable[[Area, Letters, Theme], list[Piece]]) -> None:
        """Paint pieces alone, not yet seen: no feed is behind them."""
        letters, area = Letters(), Area(0, 0, *self.size)
        for piece in made(area, letters, theme_for(*self.size, self._panel)):
            if isinstance(piece, Text):
                letters.draw(piece, self._canvas)
            elif isinstance(piece, Block):
                box = piece.area
                self._canvas.fill(piece.colour, (box.left, box.top, box.width, box.height))

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
                found += self._let_go(event.key)
            elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
                found += self._put_down(event.pos)
            elif event.type == pygame.FINGERDOWN:
                found += self._put_down(_under_finger(event))
            elif event.type == pygame.MOUSEMOTION and event.buttons[0]:
                found = _dragged(found, self._placed(event.pos))
            elif event.type == pygame.FINGERMOTION:
                found = _dragged(found, self._placed(_under_finger(event)))
            elif event.type == pygame.FINGERUP or (
                event.type == pygame.MOUSEBUTTONUP and event.button == 1
            ):
                found += self._lifted()
        return found

    def is_lit(self) -> bool:
        """Whether what is painted can be told from a black screen: enough of it is not dark."""
        pixels = pygame.surfarray.pixels3d(self._canvas)[::EVERY, ::EVERY]
        return bool((pixels.max(axis=2) > DARK).mean() >= LIT_SHARE)

    def png(self) -> bytes:
        """What is on the screen, as the content of a PNG file."""
        return png_of(self._canvas)

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
        name, held = pygame.key.name(key), key in self._down
        self._down.add(key)
        if name in RAIL_KEYS:
            return [] if held else [Edge(RAIL_KEYS[name], Contact.CLOSED)]
        press = press_of(Key(name, shift))
        return [] if press is None or (held and press not in GOES_ON) else [press]

    def _let_go(self, key: int) -> list[Action]:
        name = pygame.key.name(key)
        self._down.discard(key)
        return [Edge(RAIL_KEYS[name], Contact.OPENED)] if name in RAIL_KEYS else []

    def _put_down(self, at: tuple[int, int]) -> list[Action]:
        """A label of the rail where one is seen there, else a place on the picture.

        Where SDL makes a click of a touch, both say the same.
        """
        if self._has_rail and self._layout is not None:
            button = self._layout.rail.button_at(self._glass.under(at))
            if button is not None:
                self._touching = button
                return [Edge(button, Contact.CLOSED)]
        return self._placed(at)

    def _lifted(self) -> list[Action]:
        button, self._touching = self._touching, None
        return [] if button is None else [Edge(button, Contact.OPENED)]

    def _placed(self, at: tuple[int, int]) -> list[Action]:
        """The pixel of the feed's picture under a pixel of the screen, if there is one."""
        seen = None if self._touching is not None else self._painter.seen
        pixel = None if seen is None else seen.pixel(*self._glass.under(at))
        return [] if pixel is None else [PlaceSpot(*pixel)]


def _under_finger(event: pygame.event.Event) -> tuple[int, int]:
    columns, rows = pygame.display.get_surface().get_size()
    return int(event.x * columns), int(event.y * rows)


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
