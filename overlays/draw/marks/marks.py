"""Marks on the picture: the spot, and where the brightest and the darkest thing are."""

import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.layouts import Layout
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import AMBER, EDGE, TEXT
from overlays.draw.layout.views import Over
from overlays.draw.moment.shown import Measured, Shown

LEAST_BOX = 4
"""Pixels: a smaller frame could not be seen."""


def spot_area(measured: Measured, seen: PictureSeen) -> Area:
    """Where the spot is drawn: its pixels carried to the picture, at least 4 wide."""
    place = measured.place
    return seen.box(place.left, place.top, place.size, place.rows, LEAST_BOX)


def spot_columns(measured: Measured, columns: int) -> tuple[int, int]:
    """First column of the spot and one past its last, of a trace of the whole picture."""
    place, across = measured.place, columns / measured.frame.columns
    first = round(place.left * across)
    return first, first + max(round(place.size * across), LEAST_BOX)


def draw_marks(
    surface: pygame.Surface, shown: Shown, measured: Measured, made: Layout, seen: PictureSeen
) -> None:
    """The spot as a frame around its pixels; the extremes as an arrowhead beside theirs."""
    picture = seen.area
    # Outside the picture they would stay: only the picture is painted anew with each frame.
    surface.set_clip((picture.left, picture.top, picture.width, picture.height))
    try:
        _draw_inside(surface, shown, measured, made, seen)
    finally:
        surface.set_clip(None)


def _draw_inside(
    surface: pygame.Surface, shown: Shown, measured: Measured, made: Layout, seen: PictureSeen
) -> None:
    line = max(round(2 * made.theme.scale), 1)
    _frame(surface, spot_area(measured, seen), line)
    reading = measured.range
    if reading is None or Over.EXTREMES not in shown.view.over:
        return
    size = max(round(9 * made.theme.scale), 6)
    for thing, points_up in ((reading.brightest, True), (reading.darkest, False)):
        at = seen.at(thing.column, thing.row)
        _arrowhead(surface, at, size, points_up=points_up, inside=seen.area)


def _frame(surface: pygame.Surface, area: Area, line: int) -> None:
    """A frame just outside an area: dark, light, dark, so that it reads on anything."""
    for step, colour in ((2 * line + 1, EDGE), (line + 1, AMBER), (1, EDGE)):
        rect = pygame.Rect(area.left, area.top, area.width, area.height).inflate(2 * step, 2 * step)
        pygame.draw.rect(surface, colour, rect, line if colour == AMBER else 1)


def _arrowhead(
    surface: pygame.Surface, at: tuple[int, int], size: int, *, points_up: bool, inside: Area
) -> None:
    """A triangle whose point is at a place: from below for the brightest, from above else."""
    x = min(max(at[0], inside.left + size), inside.right - size - 1)
    y = min(max(at[1], inside.top + 1), inside.bottom - 2)
    away = 1 if points_up else -1
    if not inside.top <= y + away * 2 * size < inside.bottom:
        away = -away
    corners = [(x, y), (x - size, y + away * 2 * size), (x + size, y + away * 2 * size)]
    pygame.draw.polygon(surface, TEXT if points_up else EDGE, corners)
    pygame.draw.polygon(surface, EDGE if points_up else TEXT, corners, 1)
