import gc

import pygame
import pytest

from overlays.draw.picture.locked_surface import unlock


class Frame:
    """Refers to itself, as frames of a traceback do, and holds pixels."""

    def __init__(self, pixels):
        self.pixels, self.itself = pixels, self


def test_what_only_the_collector_knows_of_is_let_go():
    surface = pygame.Surface((8, 8), 0, 32)
    gc.disable()
    try:
        Frame(pygame.surfarray.pixels2d(surface))
        assert surface.get_locked()
        with pytest.raises(pygame.error, match="locked"):
            surface.blit(surface.copy(), (0, 0))
        unlock(surface)
    finally:
        gc.enable()
    assert not surface.get_locked()
    surface.blit(surface.copy(), (0, 0))


def test_what_somebody_holds_stays_locked():
    surface = pygame.Surface((8, 8), 0, 32)
    pixels = pygame.surfarray.pixels2d(surface)
    unlock(surface)
    assert surface.get_locked()
    del pixels
    assert not surface.get_locked()
