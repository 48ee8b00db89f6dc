"""A chart's reading, or two looks on it, as a PNG."""

import io
import os
from pathlib import Path

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from firmware.charting import ChartAnswer
from firmware.errors import ScreenError
from firmware.system.files import save, unsaved
from overlays.draw.chart.chart_panel import ChartPanel, pairs_of_chart, pairs_of_looks
from overlays.draw.layout.lettering import Letters, Text
from overlays.draw.layout.theme import GROUND, QUIET, TEXT, TextSize, theme_for
from overlays.draw.layout.views import Area
from overlays.measure.chart.looks import LooksCompared

SIZE = (1280, 720)


def save_picture(
    path: Path, first: ChartAnswer, second: ChartAnswer | None, looks: LooksCompared | None
) -> None:
    """Draw and write the picture: one chart against its reference, or the second look's.

    Raises
    ------
    ScreenError
        The file cannot be written.
    """
    surface = pygame.Surface(SIZE, 0, 32)
    surface.fill(GROUND)
    theme, letters = theme_for(*SIZE), Letters()
    large, small = theme.text_pixels(TextSize.LARGE), theme.text_pixels(TextSize.SMALL)
    reading = first.reading
    if looks is None or second is None:
        pairs = pairs_of_chart(reading)
        worst = reading.worst
        heading = f"mean ΔE00 {reading.mean_de00:.1f}, worst {worst.de00 or 0.0:.1f} ({worst.name})"
        legend = "left halves and rings: reference; right halves and dots: measured"
        sources = [_source(first)]
    else:
        pairs = pairs_of_looks(looks)
        heading = f"two looks, mean ΔE00 {looks.mean_de00:.1f}"
        legend = "left halves and rings: first look; right halves and dots: second look"
        sources = [f"first: {_source(first)}", f"second: {_source(second)}"]
    gap, top = theme.gap, theme.gap
    for words, pixels, colour in (
        (heading, large, TEXT),
        *((line, small, QUIET) for line in (*sources, f"{legend}; numbers are ΔE00")),
    ):
        cut = letters.cut(words, pixels, SIZE[0] - 2 * gap)
        letters.draw(Text(cut, gap, top, pixels, colour), surface)
        top += letters.height(pixels)
    area = Area(gap, top + gap, SIZE[0] - 2 * gap, SIZE[1] - top - 2 * gap)
    ChartPanel(letters).paint(surface, area, pairs, reading.reference.columns, theme)
    made = io.BytesIO()
    pygame.image.save(surface, made, "chart.png")
    try:
        save(path, made.getvalue())
    except OSError as fault:
        raise ScreenError(unsaved(path, "picture", fault)) from fault


def _source(answer: ChartAnswer) -> str:
    return (
        f"{answer.info.name}, frame {answer.number}: {answer.reading.reference.name}, "
        f"{answer.profile.curve.name} in {answer.gamut.name}"
    )
