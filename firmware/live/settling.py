"""What comes some seconds after the first picture: kernels are loaded, buffers are made."""

from firmware.health.stats import LOOKS_A_MINUTE, Stats
from firmware.live.hooks import Hooks

LOADED_NS = 2_000_000_000
"""From the first frame shown until what else a run takes (its journal) is loaded beside it."""

WARM_NS = 3_000_000_000
"""From the first frame shown until all that is done, and what is passed over counts."""

MEMORY_EVERY_NS = 60_000_000_000 // LOOKS_A_MINUTE


class Settling:
    """Tells once that the rest may be loaded and that the run has settled; then looks at memory."""

    def __init__(self, hooks: Hooks, stats: Stats) -> None:
        self._hooks, self._stats = hooks, stats
        self._first_ns: int | None = None
        self._due_ns = 0
        self._is_loaded = self._is_warm = False

    def turn(self, now_ns: int, frames: int) -> None:
        """At every turn, with how many frames were seen so far."""
        if self._first_ns is None:
            if frames > 0:
                self._first_ns, self._due_ns = now_ns, now_ns + WARM_NS
            return
        if not self._is_loaded and now_ns >= self._first_ns + LOADED_NS:
            self._is_loaded = True
            self._hooks.warm()
        if now_ns >= self._due_ns:
            if not self._is_warm:
                self._is_warm = True
                self._stats.note_warm()
            self._due_ns = now_ns + MEMORY_EVERY_NS
            self._stats.note_memory()
