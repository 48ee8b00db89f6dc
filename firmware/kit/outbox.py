"""Marks on their way to the kit: the journal is where they wait, over restarts too.

A small file beside the journal says up to which row the broker has acknowledged all. Rows behind it
are handed out in their order, a few at a time; where a unit is switched off between an
acknowledgement and that file, a mark goes out twice, and whoever reads knows it by its id.
"""

import json
from collections import deque
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from firmware.clock import day_of, iso_utc
from firmware.errors import JournalError
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.slate import Slate, slate_of
from firmware.journal.store_reader import StoreReader
from firmware.kit.payloads import KitMark, SlatePart
from firmware.kit.spots import plain
from firmware.system.files import read_small, save

NAME = "kit-sent.json"
MOST_AT_ONCE = 20
"""Marks that wait for their acknowledgement."""
LARGEST_BYTES = 2000
LOOK_NS = 500_000_000
"""From one look at the journal's file to the next."""

AUTOSAVE_NS = 60_000_000_000
"""How often a broker brings to its card what it has acknowledged (mosquitto.conf(5),
autosave_interval; the one that midgrey ships says so): what is younger may be lost with it."""
AGAIN_NS = 3 * AUTOSAVE_NS
MOST_AGAIN = 500
"""Rows that go out again for a reader that the broker has forgotten: more than a day's."""

Signature = tuple[int, int, int]


class Outbox:
    """Marks that the broker has not acknowledged; belongs to one thread.

    Parameters
    ----------
    journal:
        The journal's file, which need not be there yet.
    unit:
        Whose marks they are.
    """

    def __init__(self, journal: Path, unit: str) -> None:
        self._journal, self._unit = journal, unit
        self._file = journal.parent / NAME
        self._sent, self._seal, self._from, self._followed = 0, "", 0, ""
        """The last row that is through; the last of before the kit; the last wish followed."""
        self._handed = 0
        self._waiting: deque[tuple[int, str, bool]] = deque()
        """Rows that were handed out: number, seal, whether they are through."""
        self._through: deque[tuple[int, int, str]] = deque()
        """When rows were acknowledged, and the last row that was through before each."""
        self._looked: Signature | None = None
        self._look_ns: int | None = None
        self._begun = False
        self.behind = False
        """Whether there may be rows that were not handed out."""
        self.fault = ""
        """Why the journal cannot be read, or what was sent cannot be kept."""

    def begin(self) -> None:
        """Note where to go on from: what is marked from now on waits for the kit, near or far."""
        if self._begun:
            return
        try:
            if _signature(self._journal) is None:
                self._begin(0, "")
                return
            with StoreReader(self._journal) as reader:
                self._take_up(reader)
        except JournalError as fault:
            self.fault = str(fault)

    def due(self, now_ns: int) -> list[KitMark]:
        """The next marks to be sent, in their order."""
        self.begin()
        if self._look_ns is not None and 0 <= now_ns - self._look_ns < LOOK_NS:
            return []
        self._look_ns = now_ns
        if not self.behind and _signature(self._journal) == self._looked:
            return []
        if len(self._waiting) >= MOST_AT_ONCE:
            return []
        try:
            return self._read()
        except JournalError as fault:
            self.fault = str(fault)
            return []

    def _read(self) -> list[KitMark]:
        looked = _signature(self._journal)
        if looked is None or not self._begun:
            return []
        with StoreReader(self._journal) as reader:
            if reader.last()[0] < self._handed:
                self._from = 0  # another journal was begun meanwhile
                self._begin(0, "")
            free = MOST_AT_ONCE - len(self._waiting)
            rows = list(reader.heads_since(self._handed, free))
        self._looked, self.behind, self.fault = looked, len(rows) == free, ""
        if rows:
            self._handed = rows[-1].number
        return [each for row in rows if (each := self._given(row)) is not None]

    def _take_up(self, reader: StoreReader) -> None:
        """Go on where the run before ended; what was marked before there was a kit is not sent."""
        known = _kept(self._file)
        last, seal = reader.last()
        if known is None:
            self._from = last
            self._begin(last, seal.hex())
            return
        number, before, self._from, self._followed = known
        # In another journal the row of that number has another seal: then all of it is new.
        same = number == 0 or (number <= last and reader.row(number).seal.hex() == before)
        self._from = self._from if same else 0
        self._begin(number if same else 0, before if same else "")

    def _begin(self, number: int, seal: str) -> None:
        self._begun = True
        self._sent, self._seal, self._handed = number, seal, number
        self._waiting.clear()
        self._through.clear()
        self._keep()

    def _given(self, row: JournalRow) -> KitMark | None:
        mark = None if row.kind is RowKind.CLOCK else mark_of_row(row, self._unit)
        self._waiting.append((row.number, row.seal.hex(), mark is None))
        self._settle()
        return mark

    def acknowledged(self, number: int, now_ns: int) -> None:
        """The broker has a mark; when it and all before are through, that is kept."""
        self._waiting = deque(
            (each, seal, is_through or each == number) for each, seal, is_through in self._waiting
        )
        before = self._sent, self._seal
        self._settle()
        if self._sent != before[0]:
            self._through.append((now_ns, *before))
        while self._through and now_ns - self._through[0][0] > AGAIN_NS:
            self._through.popleft()

    def broken(self, now_ns: int) -> None:
        """Hand out again what was not acknowledged, and what the broker may have lost since."""
        while self._through and now_ns - self._through[0][0] > AGAIN_NS:
            self._through.popleft()
        if self._through:
            _, self._sent, self._seal = self._through[0]
            self._through.clear()
        self._waiting.clear()
        self._handed, self.behind = self._sent, True

    def again(self, wish: str) -> None:
        """Hand the newest rows out again, once for each wish."""
        if wish == self._followed or not self._begun:
            return
        self._followed = wish
        try:
            with StoreReader(self._journal) as reader:
                number = max(self._from, self._sent - MOST_AGAIN)
                seal = reader.row(number).seal.hex() if number else ""
        except JournalError:  # there is none yet
            return
        if number < self._sent:
            self._begin(number, seal)
            self.behind = True

    @property
    def waiting(self) -> int:
        """How many were handed out and are not acknowledged."""
        return sum(not is_through for _, _, is_through in self._waiting)

    def _settle(self) -> None:
        moved = False
        while self._waiting and self._waiting[0][2]:
            self._sent, self._seal, _ = self._waiting.popleft()
            moved = True
        if moved:
            self._keep()

    def _keep(self) -> None:
        told = {"schema": 1, "sent": self._sent, "seal": self._seal}
        told |= {"from": self._from, "followed": self._followed}
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            save(self._file, (json.dumps(told) + "\n").encode())
        except OSError as fault:
            # It is sent again after a restart then, and known by its id.
            self.fault = f"{self._file}: cannot be written ({fault.strerror})"


def mark_of_row(row: JournalRow, unit: str) -> KitMark | None:
    """A row as it is sent; None of one that holds what no row of ours does."""
    head, stamp = row.head, row.stamp
    try:
        return KitMark(
            schema=1,
            unit=unit,
            id=row.seal.hex(),
            number=row.number,
            kind="mark" if row.kind is RowKind.MARK else "event",
            time=None if day_of(stamp.wall_s) is None else iso_utc(stamp.wall_s),
            clock=stamp.trust.value,
            slate=slate_part(slate_of(head.get("slate"))),
            simulated=bool(head.get("simulated")),
            frame=head.get("frame"),
            feed=_text(head, "feed") or "",
            timecode=_text(head, "timecode"),
            profile=_text(head, "profile"),
            curve=_text(head, "curve"),
            view=_text(head, "view"),
            words=_text(head, "words") or "",
            stops=_number(head, "stops"),
            stops_pm=_number(head, "stops_pm"),
            percent=_number(head, "percent"),
            percent_pm=_number(head, "percent_pm"),
            at_least=bool(head.get("at_least")),
            at_most=bool(head.get("at_most")),
        )
    except (ValidationError, ValueError, TypeError, OverflowError):
        return None


def slate_part(slate: Slate) -> SlatePart:
    """A slate as it is sent."""
    return SlatePart(
        scene=plain(slate.scene),
        shot=plain(slate.shot),
        take=plain(slate.take),
        camera=plain(slate.camera),
        notes=plain(slate.notes),
    )


def slate_from(part: SlatePart, own: Slate) -> Slate:
    """The slate that was sent; where it names no camera, the unit's own stays."""
    return slate_of({**part.model_dump(), "camera": part.camera or own.camera})


def _text(head: Mapping[str, Any], name: str) -> str | None:
    found = head.get(name)
    return None if found is None else plain(str(found))


def _number(head: Mapping[str, Any], name: str) -> float | None:
    found = head.get(name)
    return None if found is None or isinstance(found, bool) else float(found)


def _signature(path: Path) -> Signature | None:
    """What changes with a file; None where it is not there."""
    with suppress(OSError):
        found = path.stat()
        return found.st_ino, found.st_size, found.st_mtime_ns
    return None


def _kept(path: Path) -> tuple[int, str, int, str] | None:
    """What was kept of the last row that is through; None where nobody has, or it is spoilt."""
    try:
        found = json.loads(read_small(path, LARGEST_BYTES))
        numbers, texts = (found["sent"], found["from"]), (found["seal"], found["followed"])
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    whole = all(isinstance(n, int) and not isinstance(n, bool) and n >= 0 for n in numbers)
    if not whole or not all(isinstance(each, str) for each in texts):
        return None
    return numbers[0], texts[0], numbers[1], texts[1]
