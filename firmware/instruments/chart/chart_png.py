"""A chart, or two looks on it, as a PNG."""

import io
import os
from pathlib import Path

from firmware.errors import ScreenError
from firmware.instruments.chart.answer import ChartAnswer, Look
from firmware.system.files import save, unsaved
from overlays.draw.layout.areas import Area
from overlays.draw.layout.theme import GROUND, QUIET, TEXT, TextSize, theme_for

SIZE = (1280, 720)


def save_picture(path: Path, answer: ChartAnswer) -> None:
    """Draw and write the picture: one chart against its reference, or the second look's.

    Raises
    ------
    ScreenError
        The file cannot be written.
    """
    made = drawn(answer)
    try:
        save(path, made)
    except OSError as fault:
        raise ScreenError(unsaved(path, "picture", fault)) from fault


def drawn(answer: ChartAnswer) -> bytes:
    """The picture, as the content of its file."""
    # pygame greets on standard output at import unless told not to.
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    # What draws loads pygame, which an answer without a picture has no use for.
    import pygame  # noqa: PLC0415

    from overlays.draw.chart.chart_panel import (  # noqa: PLC0415
        ChartPanel,
        pairs_of_chart,
        pairs_of_looks,
    )
    from overlays.draw.layout.lettering import Letters, Text  # noqa: PLC0415 - loads pygame too

    surface = pygame.Surface(SIZE, 0, 32)
    surface.fill(GROUND)
    theme, letters = theme_for(*SIZE), Letters()
    large, small = theme.text_pixels(TextSize.LARGE), theme.text_pixels(TextSize.SMALL)
    heading, *rest = _words(answer)
    gap, top = theme.gap, theme.gap
    for words, pixels, colour in ((heading, large, TEXT), *((line, small, QUIET) for line in rest)):
        cut = letters.cut(words, pixels, SIZE[0] - 2 * gap)
        letters.draw(Text(cut, gap, top, pixels, colour), surface)
        top += letters.height(pixels)
    area = Area(gap, top + gap, SIZE[0] - 2 * gap, SIZE[1] - top - 2 * gap)
    reading, looks = answer.look.reading, answer.looks
    pairs = pairs_of_chart(reading) if looks is None else pairs_of_looks(looks)
    ChartPanel(letters).paint(surface, area, pairs, reading.reference.columns, theme)
    made = io.BytesIO()
    pygame.image.save(surface, made, "chart.png")
    return made.getvalue()


def _words(answer: ChartAnswer) -> list[str]:
    """What stands above: the heading, then smaller."""
    first = answer.look
    if answer.looks is None or answer.against is None:
        reading, worst = first.reading, first.reading.worst
        return [
            f"mean ΔE00 {reading.mean_de00:.1f}, worst {worst.de00 or 0.0:.1f} ({worst.name})",
            _source(first),
            "left halves and rings: reference; right halves and dots: measured; numbers are ΔE00",
        ]
    return [
        f"two looks, mean ΔE00 {answer.looks.mean_de00:.1f}",
        f"first: {_source(first)}",
        f"second: {_source(answer.against)}",
        "left halves and rings: first look; right halves and dots: second look; numbers are ΔE00",
    ]


def _source(look: Look) -> str:
    origin = look.origin
    return (
        f"{origin.feed_name}, frame {origin.number}: {look.reading.reference.name}, "
        f"{origin.profile.curve.name} in {origin.gamut.name}"
    )
