"""A surface is locked for as long as anybody holds a view of its pixels, and cannot be drawn on."""

import gc

import pygame


def unlock(surface: pygame.Surface) -> None:
    """Let views of a surface go that nobody has any more, but for the collector's delay.

    A loop that has to be compiled keeps what it was called with in frames that refer to each other;
    seen now and then on busy machines. Costs a look at a flag where nothing is held.
    """
    if surface.get_locked():
        gc.collect()
