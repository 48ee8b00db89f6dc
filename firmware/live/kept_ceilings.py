"""The camera's ceilings as they were found on the feed that runs: one memory for its frames."""

from dataclasses import dataclass, field

from firmware.opening.read_with import ReadWith
from overlays.measure.counting.clip import NOWHERE, FlatTop, Levels
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.ceiling_memory import CeilingMemory
from overlays.measure.range.range_reading import RangeReading
from overlays.signal.signal import Signal

LEAST_CHANGE_PERCENT = 0.1
"""A ceiling that moves by less stays where it is: half a code of 8 bits. What is drawn for one clip
need not be drawn anew for every frame."""


@dataclass(slots=True, eq=False)
class Ceilings:
    """Shared by live frames, which are looked for ceilings, and a held one, which uses them.

    They are measured in two threads: what is known is replaced as a whole, never changed.
    """

    _of: tuple[ReadWith, Signal] | None = None
    _memory: CeilingMemory = field(default_factory=CeilingMemory)
    _known: tuple[tuple[ReadWith, Signal] | None, FlatTop | None, Levels] = (None, None, NOWHERE)

    def known(self, read_with: ReadWith, signal: Signal) -> tuple[FlatTop | None, Levels]:
        """What was found on a feed as it is read now, and what is in doubt.

        With another profile nothing is known yet.
        """
        of, top, doubts = self._known
        return (top, doubts) if of == (read_with, signal) else (None, NOWHERE)

    def see(self, read_with: ReadWith, yard: Yardstick, found: RangeReading) -> None:
        """Take in the range of a live frame."""
        of = (read_with, yard.signal)
        if self._of != of:
            self._of, self._memory = of, CeilingMemory()
        now = self._memory.see(found.flat_top_here, found.peaks_percent)
        before, doubted = self.known(read_with, yard.signal)
        self._known = (
            of,
            before if _is_near(before, now) else now,
            doubted if _are_near(doubted, found.doubts) else found.doubts,
        )


def _is_near(before: FlatTop | None, now: FlatTop | None) -> bool:
    if before is None or now is None:
        return before is now
    if (before.share > 0.0) is not (now.share > 0.0):
        return False  # an earlier picture was flat there, or this one is
    return _are_near(before.percents, now.percents) and _are_near(before.spreads, now.spreads)


def _are_near(before: Levels, now: Levels) -> bool:
    for a, b in zip(before, now, strict=True):
        if a is None or b is None:
            if a is not b:
                return False
        elif abs(a - b) >= LEAST_CHANGE_PERCENT:
            return False
    return True
