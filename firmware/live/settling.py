"""What comes some seconds after the first picture: kernels are loaded, buffers are made."""

from firmware.health.stats import LOOKS_A_MINUTE, Stats
from firmware.live.hooks import Hooks

WARM_NS = 3_000_000_000
"""From the first frame shown until kernels are loaded and buffers made."""

MEMORY_EVERY_NS = 60_000_000_000 // LOOKS_A_MINUTE


class Settling:
    """Tells once that the run has settled, and then looks at memory now and then."""

    def __init__(self, hooks: Hooks, stats: Stats) -> None:
        self._hooks, self._stats = hooks, stats
        self._due_ns: int | None = None
        self._is_warm = False

    def turn(self, now_ns: int, frames: int) -> None:
        """At every turn, with how many frames were seen so far."""
        if self._due_ns is None:
            if frames > 0:
                self._due_ns = now_ns + WARM_NS
        elif now_ns >= self._due_ns:
            if not self._is_warm:
                self._is_warm = True
                self._hooks.warm()
                self._stats.note_warm()
            self._due_ns = now_ns + MEMORY_EVERY_NS
            self._stats.note_memory()
