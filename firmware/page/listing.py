"""Prints the rows of a journal as JSON, the newest first: run as a process of its own."""

import json
import sys
from pathlib import Path
from typing import Any

from firmware.clock import iso_utc
from firmware.errors import JournalError
from firmware.journal.chosen import ChosenRow, as_written, chosen_rows
from firmware.journal.outlets import reading_words
from firmware.journal.row import RowKind
from firmware.journal.store_reader import StoreReader
from overlays.wording.numbers import typeset

MOST_ROWS = 500
"""What anybody scrolls through with a thumb; tables and reports have all."""


def rows_of(path: Path) -> list[dict[str, Any]]:
    """The newest rows.

    Raises
    ------
    JournalError
        The journal cannot be read, or a row is not as any was written.
    """
    with StoreReader(path) as file:
        chosen = [each for each in chosen_rows(file) if each.row.kind is not RowKind.CLOCK]
        out = []
        for each in reversed(chosen[-MOST_ROWS:]):
            with as_written(each.row.number):
                out.append(_object(each))
        return out


def _object(each: ChosenRow) -> dict[str, Any]:
    head, dated = each.row.head, each.dated
    is_mark = each.row.kind is RowKind.MARK
    words = reading_words(head) if is_mark else str(head.get("words", ""))
    return {
        "number": each.row.number,
        "kind": each.row.kind.value,
        "day": dated.day,
        "time": "" if dated.wall_s is None else iso_utc(dated.wall_s)[11:19],
        "slate": each.slate.words,
        "notes": each.slate.notes,
        "view": str(head.get("view") or ""),
        "timecode": str(head.get("timecode") or ""),
        "words": typeset(words),
        "simulated": bool(head.get("simulated")),
    }


def main(arguments: list[str]) -> int:
    """Print them; the exit status."""
    try:
        rows = rows_of(Path(arguments[0]))
    except JournalError as fault:
        sys.stderr.write(f"midgrey: {fault}\n")
        return 2
    sys.stdout.write(json.dumps(rows, allow_nan=False))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
