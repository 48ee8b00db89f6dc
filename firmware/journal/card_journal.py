"""The journal on the card for whoever writes it: opened when needed, and a damaged one moved aside.

A file that is damaged is kept: most of its rows can be read still. Only whoever writes moves it.
"""

from pathlib import Path

from firmware.errors import JournalError
from firmware.journal.journal_folder import NAME
from firmware.journal.row import JournalRow
from firmware.journal.store import APPLICATION, Store
from firmware.system.files import settle

HOT = "-journal"
"""Ending of the file in which SQLite keeps what a commit goes over, until it is done."""
MOST_KEPT = 1000


class Card:
    """Where rows go; belongs to one thread at a time.

    Parameters
    ----------
    path:
        Of the journal.

    Attributes
    ----------
    told:
        What is to be said of files that were moved aside, to go on with from "saved"; whoever says
        it takes it out.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._store: Store | None = None
        self.told: list[str] = []

    def append(self, row: JournalRow) -> JournalRow:
        """Keep a row; when this comes back it is on the card.

        Raises
        ------
        JournalError
            It cannot be kept; nothing of it is.
        """
        try:
            return self._append(row)
        except JournalError as fault:
            self.close()  # another file may lie there by the next try
            if not (fault.is_damaged and _is_ours(self._path)):
                raise
        kept = moved_aside(self._path)
        self.told.append(f"in a new journal: the old one was damaged and is kept as {kept.name}")
        return self._append(row)

    def _append(self, row: JournalRow) -> JournalRow:
        self._store = self._store or Store(self._path)
        return self._store.append(row)

    def close(self) -> None:
        """Let go of the file."""
        if self._store is not None:
            self._store.close()
        self._store = None


def _is_ours(path: Path) -> bool:
    """Whether a damaged file was a journal: by the mark in its header, else by its name.

    (Database header, bytes 68 to 71; SQLite documentation, Database File Format.)
    """
    if path.name == NAME:
        return True
    with path.open("rb") as file:
        return file.read(72)[68:] == APPLICATION.to_bytes(4, "big")


def moved_aside(path: Path) -> Path:
    """Give a damaged journal another name, with what SQLite left beside it.

    Raises
    ------
    JournalError
        The folder takes no other name, or has too many of them.
    """
    names = (path.with_name(f"{path.stem}-damaged-{n}{path.suffix}") for n in range(1, MOST_KEPT))
    kept = next((each for each in names if not each.exists()), None)
    if kept is None:
        raise JournalError(f"{path}: is damaged, and so are {MOST_KEPT} others; check the card")
    try:
        # First what is beside it: without it the file would look whole, and half a commit be read.
        beside = path.with_name(path.name + HOT)
        if beside.exists():
            beside.rename(kept.with_name(kept.name + HOT))
        path.rename(kept)
    except OSError as fault:
        raise JournalError(
            f"{path}: is damaged and cannot be moved aside ({fault.strerror}); check the card",
            "the journal's file is damaged, check the card",
        ) from fault
    settle(path.parent)
    return kept
