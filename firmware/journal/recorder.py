"""Saves marks on a thread of its own: whoever draws hands over a copy, and never waits for a card.

A mark is acknowledged once its commit came back, and not before. What cannot be saved waits in
memory in its order, is counted and said, and is tried again.
"""

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Condition
from typing import Any

from firmware.clock import Clock
from firmware.errors import ArgumentError, JournalError
from firmware.instruments.desk import Desk
from firmware.instruments.registry import REGISTRY, Registry
from firmware.journal.backlog import MISSED, Backlog, lost_words, missed_words, reason_words
from firmware.journal.card_journal import Card
from firmware.journal.composing import mark_of
from firmware.journal.in_view import InView
from firmware.journal.profile_texts import ProfileTexts
from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.seen_events import EventPace, SeenEvent, event_of, fresh_of
from firmware.journal.slate import Slate
from firmware.journal.stamping import stamp_now
from firmware.opening.read_with import ReadWith
from firmware.profiles.model import Profile
from firmware.system.threads import FINISH_S, Worker
from firmware.system.time_of_day import boot_name
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Measured
from overlays.signal.kept_frame import kept

MOST_FRAMES = 4
"""Frames that wait to be made into rows: a few presses in a row, some 8 MB each."""
MOST_WAITING = 200
"""Marks that wait in memory for a card that takes none, some 200 kB each at the most."""
TURN_S = 0.1
AGAIN_NS = 2_000_000_000
"""From one try to write to the next, where the last one failed."""
CLOCK_NS = 5_000_000_000
"""From one look at whether the clock is set by now to the next."""
NOT_SAVED, FAILED = "NOT SAVED", "the journal has failed: marks are not saved; restart"
LEAVING_S = 20.0
"""How long a run that ends waits for its marks to be saved; those behind the one that is being made
are made in it, too. A card that takes none is not waited for."""


@dataclass(frozen=True, slots=True)
class Machine:
    """What of the machine a journal needs.

    Attributes
    ----------
    clock:
        Monotonic and of the day.
    slate:
        The clapper board as it is now; raises `ArgumentError` where it cannot be understood.
    health:
        How the machine is.
    root:
        The file system to look in.
    """

    clock: Clock
    slate: Callable[[], Slate] = Slate
    health: Callable[[], object] = lambda: None
    root: Path = Path("/")


class Recorder:
    """Keeps the journal of a run.

    `mark`, `see`, `notes` and `alert` belong to the thread that draws; what they cost is a copy of
    the frame. The rest happens in a thread of the recorder's own, from `start` to `close`.

    Parameters
    ----------
    path:
        Of the journal.
    """

    def __init__(self, path: Path, around: Machine, registry: Registry = REGISTRY) -> None:
        self._around, self._registry = around, registry
        self._boot = boot_name(around.root)
        self._there = Condition()
        self._frames: deque[InView] = deque()
        self._events: deque[SeenEvent] = deque()
        self._pace = EventPace()
        self._waiting = Backlog()
        self._notes: deque[str] = deque()
        self._seen: dict[str, tuple[Any, ...]] = {}
        self._profiles: deque[Profile] = deque()
        self._profile: Profile | None = None
        self._texts = ProfileTexts()
        self._card = Card(path)
        self._fault = ""
        self._again_ns = self._clock_ns = 0
        self._undated = False
        self._busy = False
        self.saved = self.lost = 0
        self._unkept: list[str] = []
        self._worker = Worker("journal", self._turn)

    # For the thread that draws

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def mark(
        self, seen: Measured | None, desk: Desk, settings: Mapping[str, Any], with_: ReadWith
    ) -> str:
        """Take what is in view, to be saved; says so, or why it cannot be."""
        if seen is None:
            return "not marked: there is no picture to read"
        if self._worker.fault is not None:
            return "not marked: the journal has failed; restart"
        waits = len(self._frames) + self._waiting.marks + int(self._busy)
        if len(self._frames) >= MOST_FRAMES or waits >= MOST_WAITING:
            return f"not marked: {waits} marks wait to be saved already"
        try:
            slate = self._around.slate()
        except ArgumentError as fault:
            return f"not marked: {fault}"
        view = seen.view
        name = "" if view is None else self._registry.in_view(view).name
        taken = InView(
            kept(seen.frame),
            seen.yard,
            seen.place,
            seen.range,
            view,
            settings.get(name),
            seen.answer,
            desk,
            with_,
            "",
            slate,
            self.stamp(),
            census=None if seen.census is None else seen.census.copy(),
            missed=self._waiting.take_missed(),
        )
        with self._there:
            self._frames.append(taken)
            self._there.notify()
        return "marking"

    def see(self, memories: Mapping[str, Any], profile: Profile, feed: str) -> None:
        """Look for what instruments saw by themselves, and read a profile that is new in use."""
        if profile is not self._profile:
            self._profile = profile
            with self._there:
                self._profiles.append(profile)
                self._there.notify()
        for line in self._registry.lines:
            name = line.instrument.name
            if name not in memories:
                continue
            before = self._seen.get(name, ())
            now, fresh = fresh_of(line, memories[name], before, feed, self.stamp)
            self._seen[name] = now
            if not fresh:
                continue
            with self._there:
                for each in fresh:
                    if self._waiting.has_room(len(self._events)):
                        paced = self._pace.of(each, waits=len(self._waiting))
                        self._events.append(replace(paced, missed=self._waiting.take_missed()))
                self._there.notify()

    def notes(self) -> list[str]:
        """What is to be said of marks that were saved meanwhile; each once."""
        out = []
        while self._notes:
            out.append(self._notes.popleft())
        return out

    @property
    def waiting(self) -> int:
        """Marks and events that are on no card yet."""
        return len(self._frames) + len(self._events) + len(self._waiting) + int(self._busy)

    def alert(self) -> Alert | None:
        """That marks wait in memory, and why, for as long as they do."""
        if self._worker.fault is not None:
            return Alert(FAILED, Tone.ALARM, NOT_SAVED)
        fault, waits = self._fault, self._waiting.words()
        return Alert(f"{waits}: {fault}", Tone.ALARM, NOT_SAVED) if fault and waits else None

    def close(self) -> str:
        """Save what waits, for as long as there is time, and end; says what was lost."""
        end_ns = self._around.clock.now_ns() + round(LEAVING_S * 1e9)
        with self._there:
            self._again_ns = 0
            while self.waiting and self._worker.fault is None and not self._is_over(end_ns):
                self._there.wait(TURN_S)
        self._worker.ask_to_stop()
        if self._worker.is_over(FINISH_S):  # one that hangs keeps the card to itself
            self._card.close()
        self.lost = self.waiting + len(self._unkept)
        missed = self._waiting.missed
        if not self.lost:
            return missed_words(missed) if missed else ""
        return lost_words(self.lost, self._fault or ", ".join(self._unkept))

    def _is_over(self, end_ns: int) -> bool:
        return self._around.clock.now_ns() >= end_ns or bool(self._fault)

    def stamp(self) -> Stamp:
        """Now."""
        return stamp_now(self._around.clock, self._boot, self._around.root)

    # In the recorder's own thread

    def _turn(self) -> None:
        with self._there:
            if not (self._frames or self._events or self._profiles):
                self._there.wait(TURN_S)
            profiles = [self._profiles.popleft() for _ in range(len(self._profiles))]
            taken = self._frames.popleft() if self._frames else None
            event = self._events.popleft() if self._events else None
            self._busy = taken is not None or event is not None
        for profile in profiles:
            self._texts.see(profile)
        if event is not None:
            self._take(event)
        if taken is not None:
            self._compose(taken)
        self._busy = False
        self._save()
        with self._there:
            self._there.notify_all()

    def _slate(self) -> Slate:
        try:
            return self._around.slate()
        except ArgumentError:  # a mark says so; what happens by itself is kept without
            return Slate()

    def _take(self, event: SeenEvent) -> None:
        try:
            self._waiting.append(event_of(event, self._slate(), self._registry))
        except Exception as fault:  # noqa: BLE001 - as below
            self._notes.append(f"event not kept: {reason_words(fault)}")

    def _compose(self, taken: InView) -> None:
        try:
            text = self._texts.text(taken.read_with.profile)
            row = mark_of(replace(taken, profile_text=text), self._around.health, self._registry)
        except Exception as fault:  # noqa: BLE001 - said, and no reason to lose the marks after it
            self._notes.append(f"not marked: {reason_words(fault)}")
            return
        self._waiting.append(row)

    def _save(self) -> None:
        now_ns = self._around.clock.now_ns()
        self._date(now_ns)
        while self._waiting and now_ns >= self._again_ns:
            row = self._waiting.first
            try:
                kept = self._card.append(row)
            except JournalError as fault:
                self._fault, self._again_ns = fault.brief, now_ns + AGAIN_NS
                return
            except Exception as fault:  # noqa: BLE001 - no later try would keep it, nor those after
                self._waiting.saved()
                self._unkept.append(reason_words(fault))
                self._notes.append(f"not saved: {self._unkept[-1]}")
                continue
            self._waiting.saved()
            self._fault = ""
            self._said(kept)

    def _said(self, row: JournalRow) -> None:
        is_unset = row.stamp.trust is ClockTrust.UNSET
        self._undated = is_unset or (self._undated and row.kind is not RowKind.CLOCK)
        missed = row.body.get(MISSED, 0)
        parts = [*self._card.told, missed_words(missed) if missed else ""]
        told = "; ".join(filter(None, parts))
        self._card.told.clear()
        if row.kind is RowKind.MARK:
            self.saved += 1
            words = f"mark {row.number} saved{' (clock unset)' if is_unset else ''}"
            self._notes.append("; ".join(filter(None, (words, told))))
        elif told:
            self._notes.append(told)

    def _date(self, now_ns: int) -> None:
        """Once the clock is set, say so in the journal: rows before are dated by it."""
        if not self._undated or now_ns < self._clock_ns:
            return
        self._clock_ns = now_ns + CLOCK_NS
        stamp = self.stamp()
        if stamp.trust is not ClockTrust.UNSET:
            self._undated = False
            self._waiting.append(JournalRow(RowKind.CLOCK, stamp, {"words": "the clock is set"}))
