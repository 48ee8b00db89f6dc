"""The journal's file: SQLite, set so that what was acknowledged outlives a power cut.

With a rollback journal and ``synchronous=EXTRA`` a commit comes back after the data, and the
directory that the rollback journal was taken out of, are on the card (SQLite documentation, PRAGMA
synchronous, PRAGMA journal_mode). The name of a file that is new is brought there by ourselves.
"""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Self

from firmware.errors import JournalError
from firmware.journal.row import FIRST_SEAL, ClockTrust, JournalRow, RowKind, Stamp
from firmware.system.files import settle

APPLICATION = 0x6D696467
"""Of the file's header (PRAGMA application_id): "midg"."""
BLOBS = ("codes", "still", "trace", "chroma")
BUSY_S = 2.0
"""How long one process waits for another that has the file."""

MIGRATIONS = (
    """
    CREATE TABLE rows (
        number INTEGER PRIMARY KEY,
        kind TEXT NOT NULL,
        boot TEXT NOT NULL,
        at_ns INTEGER NOT NULL,
        wall_s REAL NOT NULL,
        clock TEXT NOT NULL,
        head TEXT NOT NULL,
        body TEXT NOT NULL,
        codes BLOB,
        still BLOB,
        trace BLOB,
        chroma BLOB,
        seal BLOB NOT NULL
    ) STRICT;
    CREATE TABLE last (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        number INTEGER NOT NULL,
        seal BLOB NOT NULL
    ) STRICT;
    """,
)
"""What brings a file from each version of its schema to the next (PRAGMA user_version)."""

_ALL = f"number, kind, boot, at_ns, wall_s, clock, head, body, {', '.join(BLOBS)}, seal"
_LIST = "number, kind, boot, at_ns, wall_s, clock, head, '{}', NULL, NULL, NULL, NULL, seal"


class Store:
    """One open journal; belongs to one thread at a time.

    Parameters
    ----------
    path:
        Of the file; with its folder it is made where it is not there.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        with _told(path, "opened"):
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file = sqlite3.connect(
                path, timeout=BUSY_S, isolation_level=None, check_same_thread=False
            )
        try:
            with _told(path, "opened"):
                self._set_up()
        except BaseException:
            self._file.close()
            raise

    def _set_up(self) -> None:
        run = self._file.execute
        run("PRAGMA journal_mode=DELETE")
        run("PRAGMA synchronous=EXTRA")
        version = _version_of(self._file, self.path)
        for number, script in enumerate(MIGRATIONS[version:], start=version + 1):
            # One transaction: a file is of the one version or of the next, and whole.
            self._file.executescript(
                f"BEGIN IMMEDIATE; {script} PRAGMA application_id={APPLICATION};"
                f"PRAGMA user_version={number}; COMMIT;"
            )
            settle(self.path.parent)

    def append(self, row: JournalRow) -> JournalRow:
        """Keep a row; when this comes back it is on the card.

        Raises
        ------
        JournalError
            It cannot be kept; nothing of it is.
        """
        with _told(self.path, "written"), self._transaction():
            number, before = self._last()
            kept = row.kept(number + 1, before)
            stamp = row.stamp
            self._file.execute(
                f"INSERT INTO rows ({_ALL}) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)",
                (
                    kept.number,
                    row.kind.value,
                    stamp.boot,
                    stamp.at_ns,
                    stamp.wall_s,
                    stamp.trust.value,
                    json.dumps(row.head, allow_nan=False, ensure_ascii=False),
                    json.dumps(row.body, allow_nan=False, ensure_ascii=False),
                    *(row.blobs.get(name) for name in BLOBS),
                    kept.seal,
                ),
            )
            self._file.execute(
                "INSERT INTO last (one, number, seal) VALUES (1, ?, ?) "
                "ON CONFLICT (one) DO UPDATE SET number = excluded.number, seal = excluded.seal",
                (kept.number, kept.seal),
            )
        return kept

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._file.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._file.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):
                self._file.execute("ROLLBACK")
            raise

    def _last(self) -> tuple[int, bytes]:
        found = self._file.execute("SELECT number, seal FROM last").fetchone()
        return (0, FIRST_SEAL) if found is None else (int(found[0]), bytes(found[1]))

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


class StoreReader:
    """A journal that is only read; several may, while it is written."""

    def __init__(self, path: Path) -> None:
        self.path = path
        if not path.is_file():
            raise JournalError(
                f"{path}: there is no journal; name one with --journal, or mark something first"
            )
        # Not read-only: what a power cut left half done is taken back by whoever opens it next.
        with _told(path, "opened"):
            self._file = sqlite3.connect(
                f"{path.resolve().as_uri()}?mode=rw", timeout=BUSY_S, uri=True
            )
        try:
            with _told(path, "read"):
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
        return self._rows(_LIST)

    def rows(self) -> Iterator[JournalRow]:
        """Every row in order, whole."""
        return self._rows(_ALL)

    def row(self, number: int) -> JournalRow:
        """One row, whole."""
        return next(self._rows(_ALL, f"WHERE number = {int(number)}"))

    def last(self) -> tuple[int, bytes]:
        """Number and seal of the row that was kept last."""
        with _told(self.path, "read"):
            found = self._file.execute("SELECT number, seal FROM last").fetchone()
        return (0, FIRST_SEAL) if found is None else (int(found[0]), bytes(found[1]))

    def faults(self) -> list[str]:
        """What SQLite finds wrong with the file; nothing where it is whole."""
        with _told(self.path, "read"):
            found = [str(row[0]) for row in self._file.execute("PRAGMA integrity_check")]
        return [] if found == ["ok"] else found

    def _rows(self, what: str, where: str = "") -> Iterator[JournalRow]:
        with _told(self.path, "read"):
            for found in self._file.execute(f"SELECT {what} FROM rows {where} ORDER BY number"):
                yield _row(found, self.path)


def _row(found: tuple[object, ...], path: Path) -> JournalRow:
    number, kind, boot, at_ns, wall_s, clock, head, body, *blobs, seal = found
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
    if _version_of(file, path) != len(MIGRATIONS):
        raise JournalError(f"{path}: is no journal; name another file with --journal")


def _version_of(file: sqlite3.Connection, path: Path) -> int:
    version = int(file.execute("PRAGMA user_version").fetchone()[0])
    application = int(file.execute("PRAGMA application_id").fetchone()[0])
    tables = int(file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if application != APPLICATION and (tables or version):
        raise JournalError(f"{path}: is a database, but no journal; name another file")
    if not 0 <= version <= len(MIGRATIONS):
        raise JournalError(
            f"{path}: was written by a newer midgrey (schema {version}); read it with that one"
        )
    return version


@contextmanager
def _told(path: Path, what: str) -> Iterator[None]:
    """Faults of the file system and of SQLite as one sentence."""
    try:
        yield
    except (OSError, sqlite3.Error, UnicodeDecodeError) as fault:
        reason = getattr(fault, "strerror", None) or str(fault)
        raise JournalError(
            f"{path}: the journal cannot be {what} ({reason.lower()}); {_remedy(reason.lower())}"
        ) from fault


def _remedy(reason: str) -> str:
    if "full" in reason or "no space" in reason:
        return "delete old files on this card, or name a journal on another"
    if "read-only" in reason or "readonly" in reason:
        return "the card is read-only: restart, or name a journal on another"
    if "malformed" in reason or "not a database" in reason:
        return "move it away, and keep it: much of it can be read still"
    return "check the folder and the card"
