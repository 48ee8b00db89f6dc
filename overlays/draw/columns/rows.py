"""Rows of a report: labels with their values, so that nothing of either is cut."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from overlays.draw.columns.column import Column
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Text
from overlays.draw.layout.theme import QUIET, RED_WORDS, TEXT, Colour, TextSize
from overlays.draw.moment.report import Row, Tone
from overlays.wording.numbers import typeset

COLOURS: dict[Tone, Colour] = {Tone.PLAIN: TEXT, Tone.QUIET: QUIET, Tone.ALARM: RED_WORDS}


@dataclass(frozen=True, slots=True)
class LaidRow:
    """A row as it stands in a column: in one line, or the value under its label.

    Attributes
    ----------
    row:
        What it is of.
    label, value:
        Lines of each.
    is_beside:
        Whether both stand in the same line.
    """

    row: Row
    label: tuple[str, ...]
    value: tuple[str, ...]
    is_beside: bool

    @property
    def lines(self) -> int:
        """How many it takes."""
        return 1 if self.is_beside else len(self.label) + len(self.value)


def laid_row(row: Row, column: Column, pixels: int) -> LaidRow:
    """A row in type of that size: beside each other, with the short label, or in several lines."""
    letters, width = column.letters, column.area.width
    value = typeset(row.value)
    room = width - letters.width(value, pixels) - column.theme.gap
    for label in (row.label, row.short):
        if label and letters.width(typeset(label), pixels) <= room:
            return LaidRow(row, (typeset(label),), (value,), True)
    label_lines = letters.wrapped(typeset(row.label), pixels, width)
    return LaidRow(row, tuple(label_lines), tuple(letters.wrapped(value, pixels, width)), False)


def rows_height(rows: Iterable[LaidRow], column: Column, pixels: int) -> int:
    """Pixels that rows take."""
    height, space = column.letters.height(pixels), _space(column, pixels)
    return sum(each.lines * height + space for each in rows)


def _space(column: Column, pixels: int) -> int:
    """Pixels between two rows; none in the smallest type, which is taken where room is short."""
    return 0 if pixels <= column.size(TextSize.TINY) else max(column.theme.gap // 4, 2)


def add_rows(rows: Sequence[LaidRow], column: Column, pixels: int) -> None:
    """Put rows into a column."""
    for each in rows:
        _add(each, column, pixels)
        column.top += _space(column, pixels)


def _add(laid: LaidRow, column: Column, pixels: int) -> None:
    """A label at the left; its value at the right, or under it."""
    area, row, height = column.area, laid.row, column.letters.height(pixels)
    start = column.top
    for line in laid.label:
        ink = TEXT if row.is_chosen else QUIET
        column.pieces.append(Text(line, area.left, column.top, pixels, ink))
        column.top += height
    if row.is_chosen:
        wide = max(column.letters.width(line, pixels) for line in laid.label)
        under = Area(area.left, column.top - 1, wide, column.theme.hairline)
        column.pieces.append(Block(under, TEXT))
    if laid.is_beside:
        column.top = start
    # A sentence reads from the left; a number stands under the numbers of the other rows.
    is_sentence = len(laid.value) > 1
    at, align = (area.left, Align.LEFT) if is_sentence else (area.right, Align.RIGHT)
    for line in laid.value:
        column.pieces.append(Text(line, at, column.top, pixels, COLOURS[row.tone], align))
        column.top += height
