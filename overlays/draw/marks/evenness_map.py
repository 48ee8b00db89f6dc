"""How even an area is lit, laid over the picture as a coarse grid.

Each cell is marked by shape and by lightness, never by hue: a light triangle pointing up where it
is brighter than the mean, a dark one pointing down where it is darker, as the brightest and the
darkest thing are marked elsewhere; the triangle grows with the difference. The figure stands under
it where there is room. The cell that is furthest off has a frame.
"""

import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import EDGE, GREY_CARD, GROUND, TEXT, TextSize, Theme
from overlays.measure.pins.lighting import Evenness
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import signed

FULL_STOPS = 1.0 / 3.0
"""A difference from which on a mark is at its largest: a step of the lens (common practice, no
source)."""

MARK_SHARE = 0.22
"""Half the width of the largest mark, of the smaller side of what a cell has room for."""

LEAST_CELL = 14
"""Pixels; in smaller cells no mark can be told from another, and only the furthest is framed."""


def draw_evenness(
    surface: pygame.Surface,
    letters: Letters,
    even: Evenness,
    seen: PictureSeen,
    theme: Theme,
) -> None:
    """The grid with its marks and figures."""
    picture = seen.area
    rows, columns = even.map_stops.shape
    cells = {
        (row, column): _area(even.cell(row, column), seen)
        for row in range(rows)
        for column in range(columns)
    }
    pixels = theme.text_pixels(TextSize.TINY)
    width, height = letters.width("+0.00", pixels) + 4, letters.height(pixels)
    narrowest = min(area.width for area in cells.values())
    lowest = min(area.height for area in cells.values())
    foot = height if narrowest >= width + 2 and lowest >= 2 * height + 4 else 0
    surface.set_clip((picture.left, picture.top, picture.width, picture.height))
    try:
        for area in cells.values():
            rect = pygame.Rect(area.left, area.top, area.width + 1, area.height + 1)
            pygame.draw.rect(surface, GREY_CARD, rect, 1)
        _frame(surface, _area(even.place, seen), 1)
        _frame(surface, cells[even.furthest], max(round(2 * theme.scale), 2))
        if min(narrowest, lowest) < LEAST_CELL:
            return
        for at, area in cells.items():
            stops = float(even.map_stops[at])
            _mark(surface, Area(area.left, area.top, area.width, area.height - foot), stops)
            if foot:
                words = signed(stops, 2) if stops == stops else "none"  # noqa: PLR0124 - nan
                _figure(surface, letters, words, area, pixels)
    finally:
        surface.set_clip(None)


def _area(place: SpotPlace, seen: PictureSeen) -> Area:
    """A cell on the screen; neighbours share their edge."""
    return seen.cell(place.left, place.top, place.size, place.rows)


def _frame(surface: pygame.Surface, area: Area, thick: int) -> None:
    """Light with dark beside it, so that it reads on anything."""
    rect = pygame.Rect(area.left, area.top, area.width + 1, area.height + 1)
    pygame.draw.rect(surface, EDGE, rect.inflate(2, 2), thick + 2)
    pygame.draw.rect(surface, TEXT, rect, thick)


def _mark(surface: pygame.Surface, area: Area, stops: float) -> None:
    middle = (area.left + area.width // 2, area.top + area.height // 2)
    if not abs(round(stops, 2)) > 0.0:  # nan too: the difference is not known
        pygame.draw.circle(surface, EDGE, middle, 3)
        pygame.draw.circle(surface, TEXT, middle, 2)
        return
    most = min(area.width, area.height) * MARK_SHARE
    half = max(round(most * min(abs(stops) / FULL_STOPS, 1.0)), 3)
    away = half if stops > 0.0 else -half
    x, y = middle
    corners = [(x, y - away), (x - half, y + away), (x + half, y + away)]
    pygame.draw.polygon(surface, TEXT if stops > 0.0 else EDGE, corners)
    pygame.draw.polygon(surface, EDGE if stops > 0.0 else TEXT, corners, 1)


def _figure(surface: pygame.Surface, letters: Letters, words: str, cell: Area, pixels: int) -> None:
    width, height = letters.width(words, pixels) + 4, letters.height(pixels)
    x, top = cell.left + cell.width // 2, cell.bottom - height - 1
    surface.fill(GROUND, (x - width // 2, top, width, height))
    letters.draw(Text(words, x, top, pixels, TEXT, Align.CENTRE), surface)
