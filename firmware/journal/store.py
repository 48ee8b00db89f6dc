"""The journal's file: SQLite, set so that what was acknowledged outlives a power cut.

With a rollback journal and ``synchronous=EXTRA`` a commit comes back after the data, and the
directory that the rollback journal was taken out of, are on the card (SQLite documentation, PRAGMA
synchronous, PRAGMA journal_mode). The name of a file that is new is brought there by ourselves.
"""

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from firmware.errors import JournalError
from firmware.journal.row import FIRST_SEAL, JournalRow
from firmware.system.files import settle

APPLICATION = 0x6D696467
"""Of the file's header (PRAGMA application_id): "midg"."""
BLOBS = ("codes", "still", "trace", "chroma")
DAMAGED = frozenset(
    {
        sqlite3.SQLITE_CORRUPT,
        sqlite3.SQLITE_NOTADB,
        sqlite3.SQLITE_ERROR,
        sqlite3.SQLITE_CONSTRAINT,
        sqlite3.SQLITE_MISMATCH,
    }
)
"""Primary result codes of a file that is not what was written.

Our statements are always the same: where SQLite finds fault with one (a column that is not there, a
number that is there already), tables or what stands in them are no longer ours.
"""
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
        seal BLOB NOT NULL,
        head TEXT NOT NULL,
        body TEXT NOT NULL,
        codes BLOB,
        still BLOB,
        trace BLOB,
        chroma BLOB
    ) STRICT;
    CREATE TABLE last (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        number INTEGER NOT NULL,
        seal BLOB NOT NULL
    ) STRICT;
    """,
)
"""What brings a file from each version of its schema to the next (PRAGMA user_version).

What a list needs stands before what is large: SQLite reads a row from its beginning.
"""

ALL = f"number, kind, boot, at_ns, wall_s, clock, seal, head, body, {', '.join(BLOBS)}"
LIST = "number, kind, boot, at_ns, wall_s, clock, seal, head, '{}', NULL, NULL, NULL, NULL"


class Store:
    """One open journal; belongs to one thread at a time.

    Parameters
    ----------
    path:
        Of the file; with its folder it is made where it is not there.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        with told(path, "opened"):
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file = sqlite3.connect(
                path, timeout=BUSY_S, isolation_level=None, check_same_thread=False
            )
        try:
            with told(path, "opened"):
                self._set_up()
        except BaseException:
            self._file.close()
            raise

    def _set_up(self) -> None:
        run = self._file.execute
        run("PRAGMA journal_mode=DELETE")
        run("PRAGMA synchronous=EXTRA")
        version = version_of(self._file, self.path)
        if 0 < version < len(MIGRATIONS):
            self._keep_copy(version)
        for number, script in enumerate(MIGRATIONS[version:], start=version + 1):
            # One transaction: a file is of the one version or of the next, and whole.
            self._file.executescript(
                f"BEGIN IMMEDIATE; {script} PRAGMA application_id={APPLICATION};"
                f"PRAGMA user_version={number}; COMMIT;"
            )
            settle(self.path.parent)

    def _keep_copy(self, version: int) -> None:
        """A journal as the version before reads it: once a newer one has had it, it could not."""
        copy = self.path.with_name(f"{self.path.stem}.schema-{version}{self.path.suffix}")
        unfinished = copy.with_name(f".{copy.name}")
        unfinished.unlink(missing_ok=True)
        made = sqlite3.connect(unfinished)
        try:
            self._file.backup(made)  # whole, or SQLite says why not
        finally:
            made.close()
        with unfinished.open("rb") as file:
            os.fsync(file.fileno())
        unfinished.replace(copy)
        settle(copy.parent)

    def append(self, row: JournalRow) -> JournalRow:
        """Keep a row; when this comes back it is on the card.

        Raises
        ------
        JournalError
            It cannot be kept; nothing of it is.
        """
        with told(self.path, "written"), self._transaction():
            number, before = self._last()
            kept = row.kept(number + 1, before)
            stamp = row.stamp
            self._file.execute(
                f"INSERT INTO rows ({ALL}) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)",
                (
                    kept.number,
                    row.kind.value,
                    stamp.boot,
                    stamp.at_ns,
                    stamp.wall_s,
                    stamp.trust.value,
                    kept.seal,
                    json.dumps(kept.head, allow_nan=False, ensure_ascii=False),
                    json.dumps(kept.body, allow_nan=False, ensure_ascii=False),
                    *(row.blobs.get(name) for name in BLOBS),
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
        return last_of(self._file)

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


class TornRowError(ValueError):
    """A column holds what nobody writes there: the file was damaged in place."""


def last_of(file: sqlite3.Connection) -> tuple[int, bytes]:
    """Number and seal of the row that was kept last.

    Raises
    ------
    TornRowError
        They are none.
    """
    found = file.execute("SELECT number, seal FROM last").fetchone()
    if found is None:
        return 0, FIRST_SEAL
    number, seal = found
    if not isinstance(number, int) or not isinstance(seal, bytes):
        raise TornRowError("the last row's number or seal is none")
    return number, seal


def version_of(file: sqlite3.Connection, path: Path) -> int:
    """The version of an open file's schema; 0 of one that is new.

    Raises
    ------
    JournalError
        It is no journal, or of a newer midgrey.
    """
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
def told(path: Path, what: str) -> Iterator[None]:
    """Faults of the file system and of SQLite as one sentence."""
    try:
        yield
    except (OSError, sqlite3.Error, UnicodeDecodeError, TornRowError) as fault:
        reason = (getattr(fault, "strerror", None) or str(fault)).lower()
        # Texts of SQLite's own are no text, or a column holds what nobody writes there.
        is_torn = isinstance(fault, UnicodeDecodeError | TornRowError)
        is_damaged = is_torn or getattr(fault, "sqlite_errorcode", 0) & 0xFF in DAMAGED
        if is_damaged and not ("malformed" in reason or "not a database" in reason):
            reason = f"its tables are malformed: {reason}"
        brief, remedy = _remedy(reason)
        raise JournalError(
            f"{path}: the journal cannot be {what} ({reason}); {remedy}",
            brief,
            is_damaged=is_damaged,
        ) from fault


def _remedy(reason: str) -> tuple[str, str]:
    """Why and what to do, for a screen and for a terminal."""
    if "full" in reason or "no space" in reason:
        remedy = "delete old files on this card, or name a journal on another"
        return "the card is full, delete old files", remedy
    if "read-only" in reason or "readonly" in reason:
        remedy = "the card is read-only: restart, or name a journal on another"
        return "the card is read-only, restart", remedy
    if "malformed" in reason:
        remedy = "it is damaged; `midgrey journal --journal FILE` shows the rows that are left"
        return "the journal's file is damaged", remedy
    if "not a database" in reason:
        remedy = "move it away, and keep it"
        return "the journal's file is damaged", remedy
    return "the card takes nothing, check it", "check the folder and the card"
