"""Writes what was set, in a thread of its own: seldom, whole or not at all, and only what is new.

A card takes its time over a write, and whoever draws has none. A card that cannot be written is
said once; what was set is then kept as soon as it can be again.
"""

from pathlib import Path

from firmware.clock import Clock
from firmware.system.files import save, unsaved
from firmware.system.threads import Worker

TURN_S = 0.25
REST_NS = 3_000_000_000
"""From the last change until it is written: whoever turns a knob is done by then."""
LONGEST_NS = 30_000_000_000
"""From the first change that is not written, where they never end."""
AGAIN_NS = 60_000_000_000
"""From a write that failed to the next."""
CLOSE_S = 1.0


class Keeper:
    """Keeps the newest content in a file.

    Parameters
    ----------
    path:
        The file; its folder is made if it is not there.
    clock:
        Time.
    on_card:
        What the file holds; None where it is not there.
    """

    def __init__(self, path: Path, clock: Clock, on_card: bytes | None = None) -> None:
        self._path, self._clock = path, clock
        self._on_card, self._wanted = on_card, on_card
        self._first_ns = self._last_ns = self._rest_until_ns = clock.now_ns()
        self._faults: set[str] = set()
        self._said = ""
        self._worker = Worker("keep settings", self._turn)

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def note(self, content: bytes) -> None:
        """What is to be in the file from now on; never waits."""
        if content == self._wanted:
            return
        now_ns = self._clock.now_ns()
        if self._wanted == self._on_card:
            self._first_ns = now_ns
        self._wanted, self._last_ns = content, now_ns

    def take_said(self) -> str:
        """What is to be said, once; empty where there is nothing."""
        said, self._said = self._said, ""
        return said

    def step(self) -> None:
        """One turn without its pause: write, where it is time to."""
        now_ns = self._clock.now_ns()
        if self._wanted == self._on_card or now_ns < self._rest_until_ns:
            return
        rests = now_ns - self._last_ns >= REST_NS
        if rests or now_ns - self._first_ns >= LONGEST_NS:
            self._write()

    def close(self) -> str:
        """Stop, and write what is not written yet; says what could not be written."""
        self._worker.ask_to_stop()
        if self._worker.is_over(CLOSE_S):
            self._write()
        elif self._wanted != self._on_card:
            return f"{self._path}: what was set last is not kept: the card did not answer in time"
        return self.take_said()

    def _turn(self) -> None:
        self.step()
        self._worker.pause(TURN_S)

    def _write(self) -> None:
        wanted = self._wanted
        if wanted is None or wanted == self._on_card:
            return
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            save(self._path, wanted)
        except OSError as fault:
            self._rest_until_ns = self._clock.now_ns() + AGAIN_NS
            words = unsaved(self._path, "settings", fault)
            if words not in self._faults:
                self._faults.add(words)
                self._said = words
            return
        self._on_card = wanted
