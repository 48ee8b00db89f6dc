"""A chart as a picture: reference beside measured for each patch, and a*b* with a ring for each.

Colours on the screen are for eyes: L*a*b* under D65 through BT.709 primaries and the sRGB curve,
clipped to what a screen holds; the numbers are the reading's own.
"""

import math

import numpy as np
import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.seen import PictureSeen
from overlays.draw.layout.theme import (
    AMBER,
    EDGE,
    LINE,
    PANEL,
    QUIET,
    TEXT,
    Colour,
    TextSize,
    Theme,
)
from overlays.measure.chart.chart_reading import ChartReading
from overlays.measure.chart.looks import LooksCompared
from overlays.measure.chart.place import Corners, patch_quads
from overlays.measure.colour.cielab import lab_to_xyz
from overlays.signal.gamuts import D65, published_gamut
from overlays.signal.published import published_curve
from overlays.wording.numbers import UNKNOWN
from overlays.wording.reasons import Reason

Lab = tuple[float, float, float]
Pair = tuple[str, Lab, Lab | None, float | None]
"""Name, where a patch should be (or was), where it is, and the CIEDE2000 between the two."""

REACH = 90.0
"""a* and b* at the rim of the disc: beyond every patch of a printed chart."""


def screen_colour(lab: Lab) -> Colour:
    """A colour as the screen shows it."""
    linear = published_gamut("BT.709").from_xyz @ lab_to_xyz(np.array(lab), D65)
    coded = published_curve("sRGB").encode(np.clip(np.asarray(linear), 0.0, 1.0))
    red, green, blue = (round(255.0 * float(v)) for v in np.clip(coded, 0.0, 1.0))
    return red, green, blue


def pairs_of_chart(reading: ChartReading) -> list[Pair]:
    """Each patch's reference with what was measured."""
    return [(p.name, p.reference_lab, p.lab, p.de00) for p in reading.patches]


def pairs_of_looks(looks: LooksCompared) -> list[Pair]:
    """Each patch under the first look with the second."""
    return [(p.name, p.first_lab, p.second_lab, p.de00) for p in looks.patches]


class ChartPanel:
    """Paints the panel: swatches at the left, the disc at the right."""

    def __init__(self, letters: Letters) -> None:
        self._letters = letters

    def paint(
        self, surface: pygame.Surface, area: Area, pairs: list[Pair], columns: int, theme: Theme
    ) -> None:
        """Paint pairs of colours, `columns` to a row; nothing but the ground without any."""
        surface.fill(PANEL, (area.left, area.top, area.width, area.height))
        if not pairs:
            return
        side = min(area.height, area.width // 2)
        disc = Area(area.right - side, area.top + (area.height - side) // 2, side, side)
        grid = Area(area.left, area.top, area.width - side - theme.gap, area.height)
        self._swatches(surface, grid, pairs, columns, theme)
        self._rings(surface, disc, pairs, theme)

    def _swatches(
        self, surface: pygame.Surface, area: Area, pairs: list[Pair], columns: int, theme: Theme
    ) -> None:
        rows = -(-len(pairs) // columns)
        pixels = theme.text_pixels(TextSize.TINY)
        line = self._letters.height(pixels)
        wide, high = area.width // columns, area.height // rows
        pad = max(theme.gap // 4, 2)
        for n, (_, wanted, found, error) in enumerate(pairs):
            row, column = divmod(n, columns)
            left, top = area.left + column * wide + pad, area.top + row * high + pad
            width, height = wide - 2 * pad, high - 2 * pad - line
            surface.fill(screen_colour(wanted), (left, top, width // 2, height))
            right = (left + width // 2, top, width - width // 2, height)
            if found is None:
                surface.fill(EDGE, right)
            else:
                surface.fill(screen_colour(found), right)
            words = Reason.CLIPPED.words if error is None else f"{error:.1f}"
            if self._letters.width(words, pixels) > width:
                words = UNKNOWN  # "clipped"; the line at the foot names its patches
            ink = TEXT if error is None or error >= 3.0 else QUIET
            middle = left + width // 2
            label = Text(words, middle, top + height, pixels, ink, Align.CENTRE)
            self._letters.draw(label, surface)

    def _rings(self, surface: pygame.Surface, area: Area, pairs: list[Pair], theme: Theme) -> None:
        radius = min(area.width, area.height) // 2 - 2
        x, y = area.left + area.width // 2, area.top + area.height // 2
        line = theme.hairline
        for share in (1.0, 2.0 / 3.0, 1.0 / 3.0):
            pygame.draw.circle(surface, LINE, (x, y), round(radius * share), line)
        pygame.draw.line(surface, LINE, (x - radius, y), (x + radius, y))
        pygame.draw.line(surface, LINE, (x, y - radius), (x, y + radius))
        tiny = theme.text_pixels(TextSize.TINY)
        for label in (
            Text("a*", x + radius, y + 2, tiny, QUIET, Align.RIGHT),
            Text("b*", x + 4, y - radius, tiny, QUIET),
        ):
            self._letters.draw_on(PANEL, label, surface)
        scale = radius / REACH
        ring, dot = max(round(7 * theme.scale), 5), max(round(3.5 * theme.scale), 3)
        for _, wanted, found, _ in pairs:
            start = _within(wanted[1] * scale, wanted[2] * scale, radius)
            at = (x + start[0], y - start[1])
            pygame.draw.circle(surface, screen_colour(wanted), at, ring, max(2 * line, 2))
            if found is None:
                continue
            end = _within(found[1] * scale, found[2] * scale, radius)
            to = (x + end[0], y - end[1])
            pygame.draw.line(surface, QUIET, at, to, line)
            pygame.draw.circle(surface, TEXT, to, dot)
            pygame.draw.circle(surface, screen_colour(found), to, max(dot - 1, 2))


def _within(across: float, up: float, radius: float) -> tuple[float, float]:
    """The point, or where its direction meets the rim."""
    far = math.hypot(across, up)
    return (across, up) if far <= radius else (across * radius / far, up * radius / far)


def draw_corners(
    surface: pygame.Surface,
    seen: PictureSeen,
    corners: Corners,
    reading: ChartReading | None,
    *,
    chosen: int | None,
    theme: Theme,
) -> None:
    """The chart's outline and patches on the picture; the chosen corner as a larger ring."""
    picture = seen.area

    def on_screen(point: tuple[float, float]) -> tuple[float, float]:
        return seen.point(*point)

    surface.set_clip((picture.left, picture.top, picture.width, picture.height))
    try:
        outline = [on_screen(point) for point in corners.points]
        for colour, width in ((EDGE, 3 * theme.hairline + 1), (AMBER, theme.hairline)):
            pygame.draw.polygon(surface, colour, outline, width)
        if reading is not None:
            for quad in patch_quads(reading.reference, reading.corners, 0.6):
                points = [on_screen((float(px), float(py))) for px, py in quad]
                pygame.draw.polygon(surface, EDGE, points, theme.hairline)
        for n, point in enumerate(outline):
            ring = max(round((12 if n == chosen else 5) * theme.scale), 4)
            pygame.draw.circle(surface, EDGE, point, ring + 1, 3)
            pygame.draw.circle(surface, AMBER, point, ring, max(theme.hairline, 2))
    finally:
        surface.set_clip(None)
