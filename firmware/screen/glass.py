"""Where the painted canvas goes: what a window and a framebuffer have in common."""

import os
from typing import Protocol

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from overlays.draw.painter import MASKS


class Glass(Protocol):
    """Whatever shows a canvas to a person."""

    @property
    def size(self) -> tuple[int, int]:
        """(columns, rows) of the canvas it takes."""
        ...

    @property
    def sheet(self) -> pygame.Surface | None:
        """A surface of that size that may be painted on instead of a canvas; None without one."""
        ...

    def show(self, canvas: pygame.Surface) -> None:
        """Let a canvas be seen; may wait for the screen."""
        ...

    def under(self, at: tuple[int, int]) -> tuple[int, int]:
        """The canvas's pixel under a place where it was clicked or touched."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


def blank(size: tuple[int, int]) -> pygame.Surface:
    """A surface the painter can paint on."""
    return pygame.Surface(size, 0, 32, (*MASKS, 0))


def paintable(surface: pygame.Surface) -> bool:
    """Whether the painter can paint on a surface as it is."""
    return surface.get_bitsize() == 32 and surface.get_masks()[:3] == MASKS
