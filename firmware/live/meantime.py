"""Work that no frame is to wait for: done in steps, between one frame and the next."""

from collections import deque
from collections.abc import Callable, Iterator
from threading import Event
from typing import TypeVar

from firmware.clock import Clock
from overlays.sharing.stepwise import Steps

Found = TypeVar("Found")

UNKNOWN_NS = 1_000_000_000
"""From frame to frame, as long as only one of them came."""
QUICK_NS = 50_000_000
"""Frames that follow each other faster are shown before all of them is read, and drawing goes
first. Of slower ones what stands with a later one would be too old by then."""
SHARE = 0.6
"""Of the time from frame to frame that may be over when another step is begun."""


class Meantime:
    """What waits for its time. Belongs to the thread that measures.

    Parameters
    ----------
    clock:
        Says how fast frames follow each other.
    """

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._works: deque[Iterator[None]] = deque()
        self._came_ns: int | None = None
        self.gap_ns = UNKNOWN_NS
        """From the frame before to the last one."""
        self.drawn = Event()
        """Set by who draws, once the last frame is on the screen: until then it takes the cores."""

    @property
    def waits(self) -> int:
        """Pieces of work that are not done."""
        return len(self._works)

    @property
    def is_quick(self) -> bool:
        """Whether the next frame will come soon, as the last one did."""
        return 0 <= self.gap_ns < QUICK_NS

    def frame(self) -> None:
        """A frame is taken up."""
        self.drawn.clear()
        now_ns, before = self._clock.now_ns(), self._came_ns
        self._came_ns, self.gap_ns = now_ns, UNKNOWN_NS if before is None else now_ns - before

    def add(self, steps: Iterator[None], *, first: bool = False) -> None:
        """Work in steps, to be done behind what waits already, or before it."""
        if first:
            self._works.appendleft(steps)
        else:
            self._works.append(steps)

    def go_on(self) -> None:
        """A step at the least, so that all is done once; more while the next frame is far."""
        until_ns = (self._came_ns or 0) + round(SHARE * self.gap_ns)
        if self._works and self.is_quick:
            self.drawn.wait(max(until_ns - self._clock.now_ns(), 0) / 1e9)
        while self._works:
            try:
                next(self._works[0])
            except StopIteration:
                self._works.popleft()
                continue
            if self._clock.now_ns() >= until_ns:
                return


def timed(steps: Steps[Found], clock: Clock, note: Callable[[int], None]) -> Steps[Found]:
    """The same steps; at their end it is noted how many ns they took, without what lies between."""
    took_ns = 0
    while True:
        start_ns = clock.now_ns()
        try:
            next(steps)
        except StopIteration as end:
            note(took_ns + clock.now_ns() - start_ns)
            found: Found = end.value
            return found
        took_ns += clock.now_ns() - start_ns
        yield
