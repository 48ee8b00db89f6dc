"""What stands under a main number: rows and sentences that stand, or wait, as a whole."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from overlays.draw.columns.cells import Cell
from overlays.draw.columns.column import Column
from overlays.draw.columns.rows import LaidRow, add_rows, laid_row, rows_height
from overlays.draw.layout.areas import Area
from overlays.draw.layout.theme import AMBER, QUIET, Colour, TextSize
from overlays.draw.moment.report import Report
from overlays.wording.numbers import typeset

NOTES_GAP = 0.6
"""Space above the notes, in the theme's gaps."""

LEAST_LINES = 3
"""What takes turns under the sentence has room for so many lines; else the sentence does too."""

WIDE, WIDE_EMS = 1.6, 19.0
"""Width of an area to its height, and in ems of the smallest type, from which on it has two parts:
number and sentence at the left, all else at the right."""

LEFT_SHARE = 0.45
"""Of its width, the left one."""


@dataclass(frozen=True, slots=True)
class Item:
    """A row, a row of cells, or lines of type, that stand or wait as a whole."""

    height: int
    row: LaidRow | None = None
    cells: tuple[Cell, ...] = ()
    lines: tuple[str, ...] = ()
    colour: Colour = QUIET
    gap: int = 0


def parts_of(area: Area, column: Column) -> tuple[Area, Area | None]:
    """An area, or its two parts where it is a wide one."""
    ems = area.width / column.size(TextSize.TINY)
    if area.width < WIDE * area.height or ems < WIDE_EMS:
        return area, None
    gap = 2 * column.theme.gap
    left = round(LEFT_SHARE * (area.width - gap))
    start = area.left + left + gap
    return (
        Area(area.left, area.top, left, area.height),
        Area(start, area.top, area.right - start, area.height),
    )


def items_of(report: Report, column: Column, pixels: int) -> list[Item]:
    """Rows, then notes: what else is to be known. Warnings stand in the foot of the screen."""
    rows = [laid_row(row, column, pixels) for row in report.rows]
    items = [Item(rows_height([row], column, pixels), row) for row in rows]
    tiny = column.size(TextSize.TINY)
    for note in report.notes:
        lines = column.letters.wrapped(typeset(note), tiny, column.area.width)
        gap = 0 if len(items) > len(rows) else round(column.theme.gap * NOTES_GAP)
        height = len(lines) * column.letters.height(tiny) + gap
        items.append(Item(height, lines=tuple(lines), gap=gap))
    return items


def height_of(items: Iterable[Item]) -> int:
    """Pixels that they take together."""
    return sum(each.height for each in items)


def lay_items(items: Iterable[Item], column: Column, pixels: int) -> None:
    """Put them into a column, rows in type of that size."""
    for item in items:
        if item.row is not None:
            add_rows([item.row], column, pixels)
        elif item.cells:
            column.cells(list(item.cells))
            column.top += item.gap
        else:
            column.top += item.gap
            for line in item.lines:
                column.line(line, column.size(TextSize.TINY), item.colour)


def lay_in_turns(items: Sequence[Item], column: Column, turn: int, pixels: int, line: int) -> None:
    """Those whose turn it is, and in a line of type of `line` pixels that there are others."""
    height = column.letters.height(line)
    split = list(_in_parts(items, column.left_over - height))
    pages, used = [[split[0]]], split[0].height
    for item in split[1:]:
        used += item.height
        if used + height > column.left_over:
            pages.append([])
            used = item.height
        pages[-1].append(item)
    now = turn % len(pages)
    lay_items(pages[now], column, pixels)
    if len(pages) > 1:
        column.line(f"part {now + 1} of {len(pages)}", line, AMBER)


def _in_parts(items: Iterable[Item], room: int) -> Iterator[Item]:
    """A sentence for which a whole column is too short goes on in its next turn, line by line."""
    for item in items:
        if item.height <= room or len(item.lines) < 2:
            yield item
            continue
        each = (item.height - item.gap) // len(item.lines)
        for line in item.lines:
            yield Item(each, lines=(line,), colour=item.colour)
