"""The strip of a watch: the last minutes of each pin against its mark, one lane a pin.

A lane is plain where the pin is within tolerance and ruled at the tolerance; the trace of what lies
beyond is drawn in another colour *and* twice as thick. Events are upright lines with a letter.
"""

import math

import numpy as np
import pygame

from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Letters, Text
from overlays.draw.layout.theme import AMBER, GROUND, LINE, PANEL, QUIET, RED, TEXT, TextSize, Theme
from overlays.draw.moment.layers import Lane, Strip
from overlays.measure.watch.change import Change, Happening
from overlays.measure.watch.history import Stretch

LETTERS = {
    Change.DRIFT: "D",
    Change.STEP: "S",
    Change.PASSING: "P",
    Happening.CLIP: "C",
    Happening.LOST: "L",
    Happening.RETURNED: "R",
    Happening.BEAT: "B",
    Happening.CUT: "X",
    Happening.GAP: "G",
}
"""Drift, step, passing and the others; in words beside it in the column."""

SHOWN_TOLERANCES = 4.0
"""A lane reaches so many tolerances to either side of the mark."""


def draw_strip(
    surface: pygame.Surface, letters: Letters, strip: Strip, area: Area, theme: Theme
) -> None:
    """Fill an area with the strip."""
    surface.fill(PANEL, (area.left, area.top, area.width, area.height))
    if not strip.lanes:
        return
    pixels = theme.text_pixels(TextSize.TINY)
    foot = letters.height(pixels)
    margin = letters.width("8+0.00", pixels) + max(2 * theme.gap, pixels + 2)
    plot = Area(area.left + margin, area.top, area.width - margin, area.height - foot)
    height = plot.height // len(strip.lanes)
    for index, lane in enumerate(strip.lanes):
        box = Area(plot.left, plot.top + index * height, plot.width, height)
        _draw_lane(surface, letters, strip, lane, box, pixels)
    surface.fill(GROUND, (area.left, area.bottom - foot, area.width, foot))
    minutes = round(strip.seconds / 60.0)
    for share in range(minutes + 1):
        x = plot.right - round(plot.width * share / max(minutes, 1))
        words = "now" if share == 0 else f"−{share} min"
        align = Align.RIGHT if share == 0 else Align.LEFT if share == minutes else Align.CENTRE
        letters.draw(Text(words, x, area.bottom - foot, pixels, QUIET, align), surface)


def _draw_lane(
    surface: pygame.Surface, letters: Letters, strip: Strip, lane: Lane, box: Area, pixels: int
) -> None:
    middle = box.top + box.height // 2
    scale = (box.height / 2.0 - 2.0) / (SHOWN_TOLERANCES * strip.tolerance_stops)
    reach = round(strip.tolerance_stops * scale)
    surface.fill(LINE, (box.left, box.bottom - 1, box.width, 1))
    for row in (middle - reach, middle + reach):
        for x in range(box.left, box.right, 8):
            surface.fill(QUIET, (x, row, 4, 1))
    surface.fill(LINE, (box.left, middle, box.width, 1))
    height = letters.height(pixels)
    label_left = box.left - letters.width("8+0.00", pixels) - pixels
    letters.draw(Text(lane.label, label_left, middle - height // 2, pixels, TEXT), surface)
    for offset, sign in ((-reach, "+"), (reach, "−")):
        if 2 * reach >= 2 * height:
            words = f"{sign}{strip.tolerance_stops:.2f}"
            row = middle + offset - height // 2
            letters.draw(Text(words, box.left - 3, row, pixels, QUIET, Align.RIGHT), surface)
    if lane.stretch is not None:
        _draw_stretch(surface, lane.stretch, box, (middle, scale), strip.tolerance_stops)
        _draw_events(surface, letters, lane, lane.stretch, box, pixels)


def _draw_stretch(
    surface: pygame.Surface,
    stretch: Stretch,
    box: Area,
    scale: tuple[int, float],
    tolerance: float,
) -> None:
    middle, a_stop = scale
    columns = stretch.mean.size
    for x in range(box.width):
        first = x * columns // box.width
        last = max((x + 1) * columns // box.width, first + 1)
        low, high = stretch.lowest[first:last], stretch.highest[first:last]
        if np.isnan(low).all():
            continue
        least, most = float(np.nanmin(low)), float(np.nanmax(high))
        beyond = max(abs(least), abs(most)) > tolerance
        top = _row(most, middle, a_stop, box)
        bottom = _row(least, middle, a_stop, box)
        thick = 3 if beyond else 1
        colour = RED if beyond else AMBER
        surface.fill(colour, (box.left + x, top, 1, max(bottom - top, thick)))


def _row(stops: float, middle: int, a_stop: float, box: Area) -> int:
    if math.isnan(stops):
        return middle
    return min(max(middle - round(stops * a_stop), box.top + 1), box.bottom - 4)


def _draw_events(
    surface: pygame.Surface,
    letters: Letters,
    lane: Lane,
    stretch: Stretch,
    box: Area,
    pixels: int,
) -> None:
    span_ns = stretch.column_ns * stretch.mean.size
    for time_ns, change in lane.events:
        share = 1.0 - (stretch.end_ns - time_ns) / span_ns
        if not 0.0 <= share <= 1.0:
            continue
        x = box.left + min(round(share * box.width), box.width - 1)
        surface.fill(TEXT, (x, box.top, 1, box.height - 1))
        words = LETTERS[change]
        left = min(x + 3, box.right - letters.width(words, pixels))
        letters.draw(Text(words, left, box.top, pixels, TEXT), surface)
