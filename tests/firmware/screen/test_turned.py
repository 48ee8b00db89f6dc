import numpy as np
import pygame
import pytest

from firmware.screen.glass import blank
from firmware.screen.rotation import Rotation
from firmware.screen.turned import Turned, turn


class Pane:
    """A glass of 4x2 pixels that keeps what it is shown."""

    size = (4, 2)

    def __init__(self, sheet):
        self.sheet, self.shown, self.closed = sheet, [], False

    def show(self, canvas):
        self.shown.append((canvas, pygame.surfarray.array2d(canvas).T))

    def under(self, at):
        return at

    def close(self):
        self.closed = True


def painted(size):
    made = blank(size)
    pygame.surfarray.pixels2d(made)[...] = np.arange(size[0] * size[1]).reshape(size)
    return made


@pytest.mark.parametrize("rotation", list(Rotation)[1:])
@pytest.mark.parametrize("sheet", [None, blank((4, 2))], ids=["of its own", "of the glass"])
def test_what_is_seen_is_the_picture_turned_clockwise(rotation, sheet):
    pane = Pane(sheet)
    glass = Turned(pane, rotation)
    assert glass.sheet is None
    assert glass.size == ((4, 2) if rotation is Rotation.HALF else (2, 4))
    canvas = painted(glass.size)
    before = pygame.surfarray.array2d(canvas)
    glass.show(canvas)
    ((surface, seen),) = pane.shown
    assert (surface is sheet) is (sheet is not None)
    # SDL's own turning, which counts degrees counter-clockwise.
    wanted = pygame.surfarray.array2d(pygame.transform.rotate(canvas, -rotation.value)).T
    assert (seen == wanted).all()
    assert (pygame.surfarray.array2d(canvas) == before).all()


@pytest.mark.parametrize("rotation", list(Rotation)[1:])
def test_a_touch_finds_the_pixel_under_it(rotation):
    pane = Pane(None)
    glass = Turned(pane, rotation)
    canvas = painted(glass.size)
    picture = pygame.surfarray.array2d(canvas)
    glass.show(canvas)
    seen = pane.shown[0][1]
    for down in range(2):
        for across in range(4):
            assert picture[glass.under((across, down))] == seen[down, across]


def test_neither_surface_stays_locked():
    one, other = painted((4, 2)), blank((2, 4))
    turn(one, other, Rotation.LEFT)
    assert not one.get_locked()
    assert not other.get_locked()


def test_closing_closes_what_is_below():
    pane = Pane(None)
    Turned(pane, Rotation.HALF).close()
    assert pane.closed
