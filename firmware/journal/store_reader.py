"""A journal that is only read, as far as its file still gives what was written."""

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Self

from firmware.errors import JournalError
from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.store import (
    ALL,
    BLOBS,
    BUSY_S,
    LIST,
    MIGRATIONS,
    last_of,
    told,
    version_of,
)


class StoreReader:
    """A journal that is only read; several may, while it is written."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.unreadable: set[int] = set()
        """Numbers of the rows that were asked for and cannot be read: their place is damaged."""
        if not path.is_file():
            raise JournalError(
                f"{path}: there is no journal; name one with --journal, or mark something first"
            )
        # Not read-only: what a power cut left half done is taken back by whoever opens it next.
        with told(path, "opened"):
            self._file = sqlite3.connect(
                f"{path.resolve().as_uri()}?mode=rw", timeout=BUSY_S, uri=True
            )
        try:
            with told(path, "read"):
                _check_version(self._file, path)
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        """To be closed at the end."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of the file."""
        self._file.close()

    def heads(self) -> Iterator[JournalRow]:
        """Every row in order, without what only a report shows."""
        return self._rows(LIST)

    def rows(self) -> Iterator[JournalRow]:
        """Every row in order, whole."""
        return self._rows(ALL)

    def heads_since(self, number: int, most: int) -> Iterator[JournalRow]:
        """Rows behind a number, so many at the most, without what only a report shows."""
        return self._rows(LIST, f"WHERE number > {int(number)}", f"LIMIT {int(most)}")

    def heads_left(self) -> Iterator[JournalRow]:
        """As `heads`, without the rows that lie where the file is damaged."""
        number = 0
        try:
            for row in self.heads():
                number = row.number
                yield row
        except JournalError as fault:
            if not fault.is_damaged:
                raise
            yield from self._heads_after(number)

    def _heads_after(self, number: int) -> Iterator[JournalRow]:
        # One by one: each is looked up by a way of its own through the file's tree.
        for each in range(number + 1, self.last()[0] + 1):
            try:
                yield from self._rows(LIST, f"WHERE number = {each}")
            except JournalError as fault:
                if not fault.is_damaged:
                    raise
                self.unreadable.add(each)

    def row(self, number: int) -> JournalRow:
        """One row, whole."""
        return next(self._rows(ALL, f"WHERE number = {int(number)}"))

    def row_left(self, number: int) -> JournalRow | None:
        """One row, whole; None where it lies where the file is damaged."""
        try:
            return self.row(number)
        except JournalError as fault:
            if not fault.is_damaged:
                raise
            self.unreadable.add(number)
            return None

    def last(self) -> tuple[int, bytes]:
        """Number and seal of the row that was kept last."""
        with told(self.path, "read"):
            return last_of(self._file)

    def faults(self) -> list[str]:
        """What SQLite finds wrong with the file; nothing where it is whole."""
        with told(self.path, "read"):
            found = [str(row[0]) for row in self._file.execute("PRAGMA integrity_check")]
        return [] if found == ["ok"] else found

    def _rows(self, what: str, where: str = "", limit: str = "") -> Iterator[JournalRow]:
        asked = f"SELECT {what} FROM rows {where} ORDER BY number {limit}"
        with told(self.path, "read"):
            for found in self._file.execute(asked):
                yield _row(found, self.path)


def _row(found: tuple[object, ...], path: Path) -> JournalRow:
    number, kind, boot, at_ns, wall_s, clock, seal, head, body, *blobs = found
    try:
        said = json.loads(str(head)), json.loads(str(body))
        if not all(isinstance(each, dict) for each in said):
            raise TypeError("no object")  # noqa: TRY301 - told with the others below
        return JournalRow(
            RowKind(kind),
            Stamp(str(boot), int(str(at_ns)), float(str(wall_s)), ClockTrust(clock)),
            *said,
            {n: bytes(b) for n, b in zip(BLOBS, blobs, strict=True) if isinstance(b, bytes)},
            int(str(number)),
            seal if isinstance(seal, bytes) else b"",
        )
    except (ValueError, TypeError, RecursionError) as fault:
        raise JournalError(
            f"{path}: row {number} cannot be understood ({fault}); the file was changed"
        ) from fault


def _check_version(file: sqlite3.Connection, path: Path) -> None:
    if version_of(file, path) != len(MIGRATIONS):
        raise JournalError(f"{path}: is no journal; name another file with --journal")
