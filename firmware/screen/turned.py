"""The painted picture turned before it is seen, for a panel that is mounted turned."""

import os

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import numpy as np
import pygame

from firmware.screen.glass import Glass, blank
from firmware.screen.rotation import Point, Rotation, turned_back, turned_size


def turn(source: pygame.Surface, target: pygame.Surface, rotation: Rotation) -> None:
    """Write a surface, turned, over another one.

    Parameters
    ----------
    source, target:
        Of 32 bits; `target` has the source's turned size.
    rotation:
        How far.
    """
    upright = pygame.surfarray.pixels2d(source).T
    seen = pygame.surfarray.pixels2d(target).T
    # NumPy turns counter-clockwise.
    seen[...] = np.rot90(upright, -rotation.value // 90)


class Turned:
    """A glass that was mounted turned."""

    def __init__(self, glass: Glass, rotation: Rotation) -> None:
        self._glass, self._rotation = glass, rotation
        self._seen = glass.sheet or blank(glass.size)

    @property
    def size(self) -> tuple[int, int]:
        """(columns, rows) of the picture, before it is turned."""
        return turned_size(self._glass.size, self._rotation)

    @property
    def sheet(self) -> None:
        """There is none: what is painted here has yet to be turned."""
        return

    def show(self, canvas: pygame.Surface) -> None:
        """Turn it, and let it be seen."""
        turn(canvas, self._seen, self._rotation)
        self._glass.show(self._seen)

    def under(self, at: Point) -> Point:
        """The picture's pixel under a pixel of the panel."""
        return turned_back(self._glass.under(at), self._glass.size, self._rotation)

    def close(self) -> None:
        """Let go of what is below."""
        self._glass.close()
