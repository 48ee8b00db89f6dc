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

WIDE, WIDE_EMS = 1.6, 24.0
"""Width of an area to its height, and in ems of the smallest type, from which on it has two parts:
number and sentence at the left, all else at the right."""

LEFT_SHARE = 0.45
"""Of its width, the left one."""


@dataclass(frozen=True, slots=True)
class Unit:
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


def units_of(report: Report, column: Column, pixels: int) -> list[Unit]:
    """Rows, then notes: what else is to be known. Warnings stand in the foot of the screen."""
    rows = [laid_row(row, column, pixels) for row in report.rows]
    units = [Unit(rows_height([row], column, pixels), row) for row in rows]
    tiny = column.size(TextSize.TINY)
    for note in report.notes:
        lines = column.letters.wrapped(typeset(note), tiny, column.area.width)
        gap = 0 if len(units) > len(rows) else round(column.theme.gap * NOTES_GAP)
        height = len(lines) * column.letters.height(tiny) + gap
        units.append(Unit(height, lines=tuple(lines), gap=gap))
    return units


def height_of(units: Iterable[Unit]) -> int:
    """Pixels that they take together."""
    return sum(each.height for each in units)


def lay_units(units: Iterable[Unit], column: Column, pixels: int) -> None:
    """Put them into a column, rows in type of that size."""
    for unit in units:
        if unit.row is not None:
            add_rows([unit.row], column, pixels)
        elif unit.cells:
            column.cells(list(unit.cells))
            column.top += unit.gap
        else:
            column.top += unit.gap
            for line in unit.lines:
                column.line(line, column.size(TextSize.TINY), unit.colour)


def lay_in_turns(units: Sequence[Unit], column: Column, turn: int, pixels: int, line: int) -> None:
    """Those whose turn it is, and in a line of type of `line` pixels that there are others."""
    height = column.letters.height(line)
    split = list(_in_parts(units, column.left_over - height))
    pages, used = [[split[0]]], split[0].height
    for unit in split[1:]:
        used += unit.height
        if used + height > column.left_over:
            pages.append([])
            used = unit.height
        pages[-1].append(unit)
    now = turn % len(pages)
    lay_units(pages[now], column, pixels)
    if len(pages) > 1:
        column.line(f"part {now + 1} of {len(pages)}", line, AMBER)


def _in_parts(units: Iterable[Unit], room: int) -> Iterator[Unit]:
    """A sentence for which a whole column is too short goes on in its next turn, line by line."""
    for unit in units:
        if unit.height <= room or len(unit.lines) < 2:
            yield unit
            continue
        each = (unit.height - unit.gap) // len(unit.lines)
        for line in unit.lines:
            yield Unit(each, lines=(line,), colour=unit.colour)
