"""Which rows of a journal are meant, each with its time and its slate."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from firmware.errors import ArgumentError, JournalError
from firmware.journal.row import JournalRow
from firmware.journal.slate import Slate, slate_of
from firmware.journal.store_reader import StoreReader
from firmware.journal.times import Dated, Dating

UNSET = "unset"
"""The day of rows whose day nobody knows."""
_DAY = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", re.ASCII)


SHAPELESS = (KeyError, TypeError, AttributeError, ValueError, IndexError, OverflowError)
"""What comes of taking a row for one of ours that was changed to be none."""


@contextmanager
def as_written(number: int) -> Iterator[None]:
    """Whatever is taken out of a row in here, a row that was changed gives one sentence.

    Raises
    ------
    JournalError
        The row is not as any row was written.
    """
    try:
        yield
    except SHAPELESS as fault:
        raise JournalError(
            f"row {number} is not as it was written; `midgrey journal verify` says what was changed"
        ) from fault


@dataclass(frozen=True, slots=True)
class ChosenRow:
    """A row without what only a report shows, when it was, and its slate."""

    row: JournalRow
    dated: Dated
    slate: Slate


def checked_day(day: str | None) -> str | None:
    """A day as it is written: ``2026-11-27``, or ``unset``.

    Raises
    ------
    ArgumentError
        It is none.
    """
    if day is None or day == UNSET or _DAY.fullmatch(day):
        return day
    raise ArgumentError(f"--day {day!r} is no day; write 2026-11-27, or unset for rows without one")


def chosen_rows(file: StoreReader, day: str | None = None) -> list[ChosenRow]:
    """The rows of a day, or all of them, in their order."""
    heads = list(file.heads_left())
    dating = Dating(each.stamp for each in heads)
    made = (ChosenRow(each, dating.of(each), slate_of(each.head.get("slate"))) for each in heads)
    return [each for each in made if day is None or (each.dated.day or UNSET) == day]


def whole(file: StoreReader, chosen: list[ChosenRow]) -> Iterator[tuple[ChosenRow, JournalRow]]:
    """Each of them with its whole row, one at a time: a journal may be larger than the memory.

    Without those that lie where the file is damaged; the file then knows of them.
    """
    for each in chosen:
        row = file.row_left(each.row.number)
        if row is not None:
            yield each, row
