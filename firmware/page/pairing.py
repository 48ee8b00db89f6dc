"""Which code pairs a phone now, and what becomes of wrong ones.

Eight figures, five tries, then ten minutes in which no code is right: 720 tries a day at the most,
of a hundred million codes. A code that was used is no code any more.
"""

import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from firmware.clock import Clock

FIGURES = 8
MOST_TRIES = 5
LOCKED_NS = 600_000_000_000
APART_NS = 1_000_000_000
"""From one try to the next: nobody types a code faster."""
OPEN_NS = 600_000_000_000
"""How long a code that was asked for by a button can be used."""
LEAST_FIXED, MOST_FIXED = 8, 40
"""Letters and figures of a code that stands in a preset: the least is as hard as a drawn one."""


class Outcome(Enum):
    """What became of a try; the value is the sentence for whoever tried."""

    PAIRED = "paired"
    WRONG = "that is not the code"
    LOCKED = "too many wrong codes: wait ten minutes, then use the code that is shown then"
    CLOSED = "no phone can be paired now: ask for a code at the unit (phone, show code)"
    TOO_SOON = "wait a second between two tries"


@dataclass(slots=True)
class _Tries:
    """Wrong ones since the last right one, when the last was, and until when none is right."""

    wrong: int = 0
    last_ns: int | None = None
    locked_until_ns: int | None = None


def drawn_code() -> str:
    """A code that nobody can guess, of figures that are typed with one thumb."""
    return f"{secrets.randbelow(10**FIGURES):0{FIGURES}d}"


def spelt(code: str) -> str:
    """A code without what people put between its parts.

    Examples
    --------
    >>> spelt(" 4821 9037"), spelt("Kit-B 2026x")
    ('48219037', 'kitb2026x')
    """
    return "".join(each for each in code.casefold() if each.isalnum())


class Pairing:
    """Codes of one run. May be asked from any thread.

    Parameters
    ----------
    clock:
        Time.
    fixed:
        A code that holds for as long as the unit runs, from its preset; empty for none.
    draw:
        Makes a code.
    """

    def __init__(self, clock: Clock, fixed: str = "", draw: Callable[[], str] = drawn_code) -> None:
        self._clock, self._fixed, self._draw = clock, spelt(fixed), draw
        self._one = threading.Lock()
        self._code = ""
        self._until_ns: int | None = None
        self._tries = _Tries()

    def open(self, *, for_ns: int | None = OPEN_NS) -> str:
        """Draw a code and let it be used for so long; None: until it is."""
        with self._one:
            self._code = self._draw()
            self._until_ns = None if for_ns is None else self._clock.now_ns() + for_ns
            return self._code

    def close(self) -> None:
        """No drawn code is right any more."""
        with self._one:
            self._code = ""

    @property
    def shown(self) -> str:
        """The drawn code in two halves, while it can be used; else empty."""
        with self._one:
            code = self._drawn()
        half = len(code) // 2
        return f"{code[:half]} {code[half:]}" if code and not self._is_locked() else ""

    def tried(self, given: str) -> Outcome:
        """What becomes of a code that somebody typed."""
        with self._one:
            now_ns, tries = self._clock.now_ns(), self._tries
            if self._is_locked():
                return Outcome.LOCKED
            codes = [each for each in (self._fixed, self._drawn()) if each]
            if not codes:
                return Outcome.CLOSED
            if tries.last_ns is not None and now_ns - tries.last_ns < APART_NS:
                return Outcome.TOO_SOON
            tries.last_ns, tries.locked_until_ns = now_ns, None
            typed = spelt(given).encode()
            # Each is compared to its end, so that the time it takes tells nothing.
            right = [hmac.compare_digest(typed, code.encode()) for code in codes]
            if any(right):
                self._code, self._tries = "", _Tries()
                return Outcome.PAIRED
            tries.wrong += 1
            if tries.wrong < MOST_TRIES:
                return Outcome.WRONG
            self._tries = _Tries(0, now_ns, now_ns + LOCKED_NS)
            if self._code:
                self._code = self._draw()
                if self._until_ns is not None:
                    self._until_ns = now_ns + LOCKED_NS + OPEN_NS
            return Outcome.LOCKED

    def _is_locked(self) -> bool:
        until_ns = self._tries.locked_until_ns
        return until_ns is not None and self._clock.now_ns() < until_ns

    def _drawn(self) -> str:
        if self._until_ns is not None and self._clock.now_ns() >= self._until_ns:
            self._code = ""
        return self._code
