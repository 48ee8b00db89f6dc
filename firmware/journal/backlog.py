"""Rows that wait in memory for a card that takes none: marks always, events up to a bound.

A mark is somebody's press: what waits is never dropped, and one too many is refused to their face.
Events come by themselves, and a light that flickers may bring thousands: so many wait, what comes
beyond that is counted, said on the screen, and stands as a count in the next row that is made.
"""

from collections import deque

from firmware.errors import JournalError
from firmware.journal.row import JournalRow, RowKind
from overlays.errors import OverlayError

MOST_EVENTS_WAITING = 200
"""Some 2 kB each: of all but the first twelve that wait no codes are kept."""
MISSED = "missed_events"
"""What a row says of the events that were not kept before it."""


class Backlog:
    """Rows in their order. `has_room` and `take_missed` belong to the thread that sees events."""

    def __init__(self) -> None:
        self._rows: deque[JournalRow] = deque()
        self._events = 0
        self.missed = 0
        """Events that no row speaks of yet."""

    def __len__(self) -> int:
        return len(self._rows)

    @property
    def marks(self) -> int:
        """Rows that wait and are no events."""
        return len(self._rows) - self._events

    def has_room(self, coming: int) -> bool:
        """Whether one event more may wait beside those that come already; else it is counted."""
        if coming + self._events < MOST_EVENTS_WAITING:
            return True
        self.missed += 1
        return False

    def take_missed(self) -> int:
        """How many were missed so far, for the row of what is seen or marked now to say."""
        missed, self.missed = self.missed, 0
        return missed

    def append(self, row: JournalRow) -> None:
        """Behind all others."""
        self._events += row.kind is RowKind.EVENT
        self._rows.append(row)

    @property
    def first(self) -> JournalRow:
        """The one that is saved next; there must be one."""
        return self._rows[0]

    def saved(self) -> None:
        """The first is on the card."""
        self._events -= self._rows.popleft().kind is RowKind.EVENT

    def words(self) -> str:
        """What waits, and what was not kept; empty where nothing does."""
        events, marks = self._events, self.marks
        parts = [_counted(marks, "mark")] if marks else []
        parts += [_counted(events, "event")] if events else []
        if not parts:
            return ""
        waits = "waits" if marks + events == 1 else "wait"
        missed = sum(row.body.get(MISSED, 0) for row in tuple(self._rows)) + self.missed
        lost = f", {missed_words(missed)}" if missed else ""
        return f"{' and '.join(parts)} {waits} in memory{lost}"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def missed_words(missed: int) -> str:
    """That events were not kept, and how many."""
    return f"{_counted(missed, 'event')} {'was' if missed == 1 else 'were'} not kept"


def lost_words(lost: int, why: str) -> str:
    """That marks are on no card, how many, and why."""
    marks = "1 mark was" if lost == 1 else f"{lost} marks were"
    return f"{marks} never saved: {why or 'there was no time'}"


def reason_words(fault: Exception) -> str:
    """A fault in words; of a bug its kind, too."""
    is_ours = isinstance(fault, JournalError | OverlayError)
    return str(fault) if is_ours else f"{type(fault).__name__}: {fault}"
