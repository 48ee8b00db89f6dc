"""Signs of life of what a picture passes through, so that nothing frozen passes for live.

Each stage beats once a turn. Turns are bounded, so one that has not beaten for a while hangs: in a
driver, in a kernel's call, under a debugger. Beats are plain numbers, each written by one thread.
"""

import math
import os
from collections import deque
from collections.abc import Callable, Mapping

from firmware.clock import Clock
from overlays.wording.read_number import number_in

QUIET_NS = 250_000_000
"""No stage rests for so long, and no picture older is live: with a turn of the loop, a picture to
paint and the wait for the screen on top it shows within half a second, on the emulated board too
(where those take 0.1 to 0.2 s)."""

SLOWEST_NS = 3_000_000_000
"""A machine on which every turn takes long is slow, not stalled; but no slower than this."""

MOST_PATIENT_NS = 8_000_000_000
"""Longest that a turn may take where turns do take so long: less than the watchdog's limit."""

LOOKED_BACK = 8
"""Turns that say how slow a machine is: by the longest but one, so that one that hung counts for
nothing, and turns that are slow now and then, as all are on a busy machine, are no stall."""

ENOUGH = 3
"""Of them, before they say anything."""

MORE_BY = 2
"""Half as long again as its slow turns is more than slow."""


PATIENCE_KEY = "MIDGREY_PATIENCE_S"
"""Setting for a machine that is known to be slow, as an emulated one: seconds, up to the most."""


def least_patience_ns(environ: Mapping[str, str] = os.environ) -> int:
    """`QUIET_NS`, or what the settings ask for; what is no number asks for nothing."""
    asked = number_in(environ.get(PATIENCE_KEY, ""))
    if asked is None or not math.isfinite(asked):
        return QUIET_NS
    return max(QUIET_NS, min(round(asked * 1e9), MOST_PATIENT_NS))


class Patience:
    """How long to wait for the next of something that comes again and again."""

    def __init__(self) -> None:
        self._least_ns = self.limit_ns = least_patience_ns()
        """`QUIET_NS`, or longer where the last came later than that, and not only one of them."""
        self._took: deque[int] = deque(maxlen=LOOKED_BACK)

    def note(self, took_ns: int) -> None:
        """One came after so long."""
        self._took.append(took_ns)
        if len(self._took) >= ENOUGH:
            slow_ns = sorted(self._took)[-2]
            self.limit_ns = max(self._least_ns, min(slow_ns + slow_ns // MORE_BY, MOST_PATIENT_NS))


class Stage:
    """One of them.

    Parameters
    ----------
    name:
        As it is called on the screen.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self._patience = Patience()
        self._beat_ns: int | None = None
        self.granted_ns = 0
        """How long it may take besides, where it is known to wait for something slow."""

    def beat(self, now_ns: int) -> None:
        """It is alive; to be called by its own thread, at the start and after each turn."""
        before, self._beat_ns = self._beat_ns, now_ns
        if before is not None:
            self._patience.note(now_ns - before)

    def beating(self, clock: Clock) -> Callable[[], None]:
        """A beat at the time it is called."""
        return lambda: self.beat(clock.now_ns())

    def rest(self) -> None:
        """It has ended, and is not waited for."""
        self._beat_ns = None

    def silent_ns(self, now_ns: int) -> int:
        """Time since its last beat; 0 before the first and after the last."""
        beat_ns = self._beat_ns
        return 0 if beat_ns is None else max(now_ns - beat_ns, 0)

    def is_stalled(self, now_ns: int) -> bool:
        """Whether it has been silent for longer than any turn of it takes on this machine."""
        return self.silent_ns(now_ns) > max(self._patience.limit_ns, self.granted_ns)


class Stages:
    """What a picture passes through from the feed to a person's eye.

    Attributes
    ----------
    capture, measuring, drawing, lamp:
        The threads.
    arrived_ns, out_ns:
        When a frame last came in, and when one last came out at the other end: on the screen, or
        behind one that is held. None before the first.
    """

    def __init__(self) -> None:
        self.capture = Stage("capture")
        self.measuring = Stage("measuring")
        self.drawing = Stage("drawing")
        self.lamp = Stage("lamp")
        self.arrived_ns: int | None = None
        self.out_ns: int | None = None

    def rest(self) -> None:
        """The run is over: none of its stages is waited for, nor a frame."""
        for stage in (self.capture, self.measuring, self.drawing):
            stage.rest()
        self.arrived_ns = self.out_ns = None

    def before_the_screen(self, now_ns: int) -> Stage | None:
        """The stage that keeps pictures from the screen, if one is stalled."""
        before = (self.capture, self.measuring)
        return next((stage for stage in before if stage.is_stalled(now_ns)), None)

    def is_passing(self, now_ns: int) -> bool:
        """Whether frames come out where they go in; a feed that brings none is no fault."""
        if self.drawing.is_stalled(now_ns) or self.before_the_screen(now_ns) is not None:
            return False
        if self.arrived_ns is None or self.out_ns is None:
            return True  # of a first frame, its own stage says whether it is still at work
        return self.arrived_ns - self.out_ns <= max(SLOWEST_NS, least_patience_ns())
