"""Numbered pins on the picture."""

import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import EDGE, GROUND, TEXT, TextSize, Theme
from overlays.draw.marks.marks import LEAST_BOX
from overlays.draw.moment.layers import PinShown
from overlays.measure.spot.spot import SpotPlace


def draw_pins(
    surface: pygame.Surface,
    letters: Letters,
    pins: tuple[PinShown, ...],
    seen: PictureSeen,
    theme: Theme,
) -> None:
    """Each pin as a light frame with dark edges, and its label on a flag above or below it."""
    picture = seen.area
    surface.set_clip((picture.left, picture.top, picture.width, picture.height))
    try:
        for pin in pins:
            _draw_pin(surface, letters, pin, _area(pin.place, seen), picture, theme)
    finally:
        surface.set_clip(None)


def _area(place: SpotPlace, seen: PictureSeen) -> Area:
    return seen.box(place.left, place.top, place.size, place.rows, LEAST_BOX)


def _draw_pin(
    surface: pygame.Surface,
    letters: Letters,
    pin: PinShown,
    area: Area,
    picture: Area,
    theme: Theme,
) -> None:
    rect = pygame.Rect(area.left, area.top, area.width, area.height)
    for step, colour in ((3, EDGE), (2, TEXT), (1, EDGE)):
        pygame.draw.rect(surface, colour, rect.inflate(2 * step, 2 * step), 1)
    pixels = theme.text_pixels(TextSize.SMALL)
    width, height = letters.width(pin.label, pixels) + 6, letters.height(pixels)
    above = rect.top - 4 - height
    top = above if above >= picture.top else rect.bottom + 4
    left = min(max(rect.left - 3, picture.left), picture.right - width)
    surface.fill(GROUND, (left, top, width, height))
    letters.draw(Text(pin.label, left + 3, top, pixels, TEXT), surface)
