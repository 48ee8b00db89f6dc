"""Journals with bytes, numbers, words and rows that are not as they were written."""

import json
import random
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

from firmware.journal.composing import mark_of
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import BLOBS, Store
from tests.fuzz.cases import EXTREMES, kept
from tests.marked import (
    SMALL,
    followed,
    heard_in_view,
    mark,
    rows_of_before,
    stamp,
    unit_of,
)

_VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 2**31, 2**63, -(2**63), 10**400, 1e308, -1e-320, 0.5, 3),
    *("", "x", "9" * 5000, "\u0000", "nan", "<b>&", "01:00:00:00", [], {}, [[]], {"a": None}),
    *([1, 2, 3, 4], {"scene": ["x"]}, "2026", "\ud800".encode("utf-8", "replace").decode()),
)
ROWS = 9
_COLUMNS = ("kind", "boot", "at_ns", "wall_s", "clock", "head", "body", *BLOBS, "seal")


@cache
def whole() -> bytes:
    """A journal as it should be: marks of codes, of earlier frames, of what a unit told; events."""
    path = Path.cwd() / "whole.db"
    path.unlink(missing_ok=True)
    event = {"change": "drift", "words": "x", "start": {"seconds": 1.0, "timecode": None}}
    store = Store(path)
    for row in (
        mark(SMALL, "pins"),
        mark(SMALL, "expose"),
        mark(SMALL, "match", camera_a=(SMALL, None)),
        mark_of(heard_in_view(SMALL, unit_of(f"{SMALL},exposure=0.5"))),
        mark_of(followed("target", (SMALL, f"{SMALL},exposure=1", SMALL))),
        *rows_of_before()[1:3],
        JournalRow(RowKind.EVENT, stamp(5), {"words": "x", "feed": "b"}, {"event": event}),
        JournalRow(RowKind.CLOCK, stamp(6), {"words": "the clock is set"}),
    ):
        store.append(row)
    store.close()
    return path.read_bytes()


def _bytes_changed(dice: random.Random, data: bytes) -> bytes:
    out = bytearray(data)
    for _ in range(dice.choice((1, 3, 30))):
        # The head of the file and of its pages says most.
        most = dice.choice((200, 4096, len(out)))
        out[dice.randrange(min(most, len(out)))] = dice.choice(EXTREMES) & 0xFF
    return bytes(out[: dice.randrange(len(out))]) if dice.random() < 0.2 else bytes(out)


def _object_changed(dice: random.Random, found: Any) -> Any:
    """One thing in an object of JSON is another, or is gone."""
    if isinstance(found, dict) and found and dice.random() < 0.9:
        key = dice.choice(sorted(found))
        if dice.random() < 0.15:
            return {name: value for name, value in found.items() if name != key}
        return {**found, key: _object_changed(dice, found[key])}
    if isinstance(found, list) and found and dice.random() < 0.8:
        place = dice.randrange(len(found))
        return [_object_changed(dice, v) if n == place else v for n, v in enumerate(found)]
    return dice.choice(_VALUES)


def _row_changed(dice: random.Random, path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        number = dice.randrange(1, ROWS + 1)
        column = dice.choice((*_COLUMNS, "head", "body", "body", "body"))
        found = file.execute(f"SELECT {column} FROM rows WHERE number=?", (number,)).fetchone()
        if found is None:
            return  # it was taken out by the change before
        (old,) = found
        new: Any = old
        if column in {"head", "body"}:
            try:
                made = json.loads(old)
            except ValueError:
                return
            for _ in range(dice.choice((1, 1, 4))):
                made = _object_changed(dice, made)
            new = json.dumps(made) if dice.random() < 0.95 else json.dumps(made)[:-3]
        elif column in BLOBS or column == "seal":
            new = _bytes_changed(dice, old) if old else b"x"
        elif column == "wall_s":
            new = dice.choice((0.0, -1e9, 1e300, 2.5e11, 1e12, -62e9))
        elif column == "at_ns":
            new = dice.choice((0, -1, 2**62))
        else:
            new = dice.choice(("", "mark", "event", "x" * 5000, "synchronised"))
        file.execute(f"UPDATE rows SET {column}=? WHERE number=?", (new, number))


def _rows_gone(dice: random.Random, path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        table = dice.choice(("rows", "rows", "last"))
        file.execute(f"DELETE FROM {table} WHERE number = ?", (dice.randrange(1, ROWS + 1),))


_WAYS: tuple[Callable[[random.Random, Path], None], ...] = (_row_changed, _row_changed, _rows_gone)


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A journal that is listed, handed over and verified."""
    data = whole()
    if dice.random() < 0.3:
        data = _bytes_changed(dice, data)
    path = Path(kept(folder, "journal.db", data))
    for left in folder.glob("journal.db-*"):
        left.unlink()
    if data == whole():
        for _ in range(dice.choice((1, 1, 2))):
            dice.choice(_WAYS)(dice, path)
    given = ["journal", "--journal", str(path)]
    out = folder / "out"
    return [
        given,
        [*given, "--report", str(out / "a.html"), "--csv", str(out / "a.csv")],
        [*given, "--json", str(out / "b.json"), "--cdl", str(out), "--day", "2026-11-27"],
        [*given, "--markers", str(out / "a.otio")],
        ["journal", "verify", "--journal", str(path)],
    ]
