"""Lines and tables for the terminal."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TextIO

if TYPE_CHECKING:
    from rich.table import Table as RichTable


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; numbers stand at the right.

    Attributes
    ----------
    headings:
        Of the columns.
    rows:
        As many cells as headings in each.
    left:
        Columns, from 0, that stand at the left.
    bold:
        Columns in bold type.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...] = (0,)
    bold: tuple[int, ...] = ()


Line = str | Table


def sentences(words: Iterable[str]) -> list[str]:
    """Each with a capital and a full stop; a question keeps its mark."""
    return [f"{each[:1].upper()}{ended(each[1:])}" for each in words]


def ended(words: str) -> str:
    """With a full stop, where there is no question mark."""
    return words if words.endswith("?") else f"{words}."


def notes(warnings: Iterable[str], said: Iterable[str | None] = ()) -> list[str]:
    """Warnings as lines, each once, those left out that were said already."""
    known = set(said)
    return [f"Note: {ended(each)}" for each in dict.fromkeys(warnings) if each not in known]


def print_lines(lines: Sequence[Line], out: TextIO) -> None:
    """Print them; where tables are among them, at the width of the terminal."""
    if not any(isinstance(line, Table) for line in lines):
        for line in lines:
            print(line, file=out)
        return
    from rich.console import Console  # noqa: PLC0415 - slow to load, needed for tables only

    console = Console(file=out, highlight=False, soft_wrap=False)
    for line in lines:
        if isinstance(line, Table):
            console.print(_drawn(line))
        else:
            console.print(line, markup=False)


def _drawn(table: Table) -> "RichTable":
    from rich import box  # noqa: PLC0415 - slow to load
    from rich.table import Table as RichTable  # noqa: PLC0415 - the same

    made = RichTable(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for place, heading in enumerate(table.headings):
        justify: Literal["left", "right"] = "left" if place in table.left else "right"
        wraps = place == len(table.headings) - 1 and place in table.left
        style = "bold" if place in table.bold else ""
        made.add_column(heading, justify=justify, style=style, no_wrap=not wraps)
    for row in table.rows:
        made.add_row(*row)
    return made
