"""Between the loop's thread and the phones: newest wins, nothing waits, nobody watches for nothing.

The loop leaves values and, where a picture is due, copies; a thread of the page's own makes words
and pictures of them. What a phone has not fetched when the next comes is passed over.
"""

import json
import sys
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from threading import Condition
from typing import Any

from firmware.clock import Clock
from firmware.page.asked import Doing
from firmware.page.moment import moment_object
from firmware.page.sent_picture import Pictures
from firmware.page.standing import OnPage, PageCopies
from firmware.system.threads import FINISH_S, Worker

MOMENT_NS = 100_000_000
"""From moment to moment: numbers are read ten times a second."""
PICTURE_NS = 125_000_000
"""From picture to picture: eight a second are enough to frame by, and leave the board idle."""
COUNTS_NS = 250_000_000
"""From trace to trace: extremes are looked for as often."""
WAIT_S = 0.25
MOST_ASKED = 64
"""Presses that wait for the loop, which takes them with its next turn: more are no thumb's."""

Units = list[dict[str, Any]] | None


class Sent(Enum):
    """What is sent; the value stands before the bytes of a picture."""

    MOMENT = b"M"
    PICTURE = b"P"
    TRACE = b"T"
    CHROMA = b"C"


@dataclass(frozen=True, slots=True)
class Packed:
    """Something to be sent, and its number: a phone that has that one waits for the next."""

    number: int
    data: bytes


EMPTY = Packed(0, b"")


class Hub:
    """Hands over. `publish`, `is_due`, `leave` and `take_asked` belong to the loop's thread.

    Parameters
    ----------
    clock:
        Time.
    units:
        The units of the kit as objects, or None where there is no kit; asked in the page's thread.
    """

    def __init__(self, clock: Clock, units: Callable[[], Units] = lambda: None) -> None:
        self._clock, self._units = clock, units
        self._there = Condition()
        self._seen: OnPage | None = None
        self._taken: PageCopies | None = None
        self._is_new = False
        self._asked: deque[Doing] = deque(maxlen=MOST_ASKED)
        self._packed: dict[Sent, Packed] = dict.fromkeys(Sent, EMPTY)
        self._watchers: dict[int, bool] = {}
        self._wakers: dict[int, Callable[[], None]] = {}
        self._next_id = 0
        self._pictures = Pictures()
        self._moment_ns = self._picture_ns = self._counts_ns = clock.now_ns() - MOMENT_NS
        self._said = ""
        self._worker = Worker("page", self._turn)

    # For the loop's thread

    def publish(self, seen: OnPage) -> None:
        """Leave what was painted; never waits."""
        with self._there:
            self._seen, self._is_new = seen, True
            self._there.notify()

    def is_due(self) -> bool:
        """Whether copies for a picture are wanted now."""
        if not self._watchers or self._taken is not None:
            return False
        return self._clock.now_ns() - self._picture_ns >= PICTURE_NS

    def leave(self, taken: PageCopies) -> None:
        """Leave such copies."""
        with self._there:
            self._taken, self._picture_ns = taken, self._clock.now_ns()
            self._there.notify()

    def take_asked(self) -> list[Doing]:
        """What was asked for since the last call."""
        out: list[Doing] = []
        while self._asked:
            out.append(self._asked.popleft())
        return out

    @property
    def shows_index(self) -> bool:
        """Whether any phone shows the index of views, whose figures take measuring."""
        return any(self._watchers.values())

    @property
    def is_watched(self) -> bool:
        """Whether any phone watches."""
        return bool(self._watchers)

    # For the server's thread

    @property
    def second(self) -> int:
        """Of the clock: what is counted by the second begins anew with each."""
        return self._clock.now_ns() // 1_000_000_000

    def ask(self, doing: Doing) -> bool:
        """Hand the loop what a phone asks for; False where too much waits already."""
        if len(self._asked) >= MOST_ASKED:
            return False
        self._asked.append(doing)
        return True

    def watch(self, wake: Callable[[], None]) -> int:
        """Begin to watch: `wake` is called from the page's thread with whatever is new."""
        with self._there:
            self._next_id += 1
            self._watchers[self._next_id], self._wakers[self._next_id] = False, wake
            self._is_new = True
            self._there.notify()
            return self._next_id

    def index(self, watcher: int, *, is_shown: bool) -> None:
        """Whether a phone shows the index."""
        with self._there:
            if watcher in self._watchers:
                self._watchers[watcher] = is_shown

    def leave_off(self, watcher: int) -> None:
        """Watch no more."""
        with self._there:
            self._watchers.pop(watcher, None)
            self._wakers.pop(watcher, None)

    def newest(self, kind: Sent) -> Packed:
        """The newest of a kind; number 0 where there is none yet."""
        return self._packed[kind]

    # The page's own thread

    def start(self) -> None:
        """Begin to make words and pictures."""
        self._worker.start()

    def close(self) -> None:
        """Stop that."""
        self._worker.ask_to_stop()
        with self._there:
            self._there.notify_all()
        self._worker.join(FINISH_S)

    @property
    def fault(self) -> BaseException | None:
        """What ended the page's thread before its time."""
        return self._worker.fault

    def _turn(self) -> None:
        with self._there:
            if not (self._watchers and (self._is_new or self._taken is not None)):
                self._there.wait(WAIT_S)
            if not self._watchers:
                self._taken = None
                return
            rest_ns = self._moment_ns + MOMENT_NS - self._clock.now_ns()
            seen = self._seen if self._is_new and rest_ns <= 0 else None
            waits = self._is_new and seen is None and self._taken is None
            if seen is not None:
                self._is_new, self._moment_ns = False, self._clock.now_ns()
            taken, self._taken = self._taken, None
        try:
            if seen is not None:
                self._pack(Sent.MOMENT, text_of(seen, self._units()).encode())
            if taken is not None:
                self._draw(taken)
        except Exception as fault:  # noqa: BLE001 - the next moment may be another matter
            self._failed(fault)
        if waits:
            self._worker.pause(min(rest_ns / 1e9, WAIT_S))

    def _failed(self, fault: Exception) -> None:
        words = f"midgrey: page: {type(fault).__name__}: {fault}\n"
        if words != self._said:
            self._said = words
            sys.stderr.write(words)

    def _draw(self, taken: PageCopies) -> None:
        self._pack(Sent.PICTURE, self._pictures.picture(taken))
        now_ns = self._clock.now_ns()
        if now_ns - self._counts_ns < COUNTS_NS:
            return
        self._counts_ns = now_ns
        self._pack(Sent.TRACE, self._pictures.trace(taken))
        self._pack(Sent.CHROMA, self._pictures.chroma(taken))

    def _pack(self, kind: Sent, data: bytes) -> None:
        self._packed[kind] = Packed(self._packed[kind].number + 1, data)
        with self._there:
            wakers = list(self._wakers.values())
        for wake in wakers:
            wake()


def text_of(seen: OnPage, units: Units = None) -> str:
    """A moment as JSON, with the units of the kit."""
    return json.dumps(
        {**moment_object(seen), "units": units},
        allow_nan=False,
        ensure_ascii=False,
        separators=(",", ":"),
    )
