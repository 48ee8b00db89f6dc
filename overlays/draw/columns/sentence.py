"""What to do, in plain words under a main number."""

from dataclasses import dataclass

from overlays.draw.columns.column import Column
from overlays.draw.columns.rows import COLOURS
from overlays.draw.layout.theme import Colour, TextSize
from overlays.draw.moment.report import Report
from overlays.wording.numbers import typeset

WORDS_SHARE, MOST_LINES = 0.4, 5
"""Of the height of the column, the most that the sentence takes, and its lines at the most; where
it needs more, smaller type."""

WORDS_GAP = 0.5
"""Space above the sentence, in the theme's gaps."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence in lines; whether it is no more of the column than it may be.

    `height` holds the space above it.
    """

    lines: tuple[str, ...]
    pixels: int
    height: int
    colour: Colour
    is_short: bool

    def say(self, column: Column) -> None:
        """Put it into a column."""
        column.gap(WORDS_GAP)
        for line in self.lines:
            column.line(line, self.pixels, self.colour)


def sentence_of(report: Report, column: Column, size: TextSize) -> Sentence:
    """The sentence of a report in type of that size."""
    pixels = column.size(size)
    row = column.letters.height(pixels)
    lines = column.letters.wrapped(typeset(report.words), pixels, column.area.width)
    most = min(int(column.area.height * WORDS_SHARE / row), MOST_LINES)
    is_short = size is TextSize.TINY or len(lines) <= most
    height = len(lines) * row + round(column.theme.gap * WORDS_GAP)
    return Sentence(tuple(lines), pixels, height, COLOURS[report.tone], is_short)
