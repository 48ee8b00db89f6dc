"""When the frames of a feed that knows its rate, or its times, are due."""

from firmware.clock import Clock
from firmware.feeds.base import Pace

_SLACK_NS = 1000
"""A clock that wakes a rounding early must not cost a frame."""


class Pacer:
    """Tells which frame is due; waits for it with Pace.LIVE, never with Pace.STEP.

    A feed that makes its frames tells when one is `made`: the next is told of so much ahead that it
    is whole at its moment, as what a capture board hands out is.

    Parameters
    ----------
    clock, pace:
        As for every feed.
    rate:
        Frames a second, above 0.
    """

    def __init__(self, clock: Clock, pace: Pace, rate: float) -> None:
        self._clock, self._pace = clock, pace
        self._period_ns = 1e9 / rate
        self._start_ns: int | None = None
        self._told_ns = 0
        self._ahead_ns = 0.0

    def due(self, after: int, timeout_s: float) -> int:
        """Number of the newest frame that is due, `after` or less if none came in the timeout."""
        start_ns = self._start()
        if self._pace is Pace.STEP:
            return after + 1
        now_ns = self._clock.now_ns()
        last_ns = now_ns + max(timeout_s, 0.0) * 1e9
        moment_ns = start_ns + (after + 1) * self._period_ns
        begin_ns = moment_ns - self._ahead_ns if moment_ns <= last_ns else last_ns
        if begin_ns > now_ns:
            self._clock.sleep((begin_ns - now_ns) / 1e9)
        self._told_ns = self._clock.now_ns()
        # Nothing is waited for beyond the timeout, be it made by then or not.
        by_ns = min(self._told_ns + self._ahead_ns, max(last_ns, self._told_ns))
        return int((by_ns - start_ns + _SLACK_NS) / self._period_ns)

    def made(self, number: int) -> None:
        """The frame told of last is made: wait for its moment, and leave the next twice as long.

        Where making takes longer than from frame to frame, moments that went by meanwhile have no
        frame, and none is made that is not handed out.
        """
        if self._pace is Pace.STEP:
            return
        now_ns = self._clock.now_ns()
        self._ahead_ns = min(2.0 * (now_ns - self._told_ns), self._period_ns)
        self._clock.sleep(max(self.time_ns(number) - now_ns, 0) / 1e9)

    def time_ns(self, number: int) -> int:
        """When a frame was due."""
        return self._start() + round(number * self._period_ns)

    def _start(self) -> int:
        if self._start_ns is None:
            self._start_ns = self._clock.now_ns()
        return self._start_ns


class Playhead:
    """Tells whether moments of a feed that knows its times are due; waits only with Pace.LIVE.

    Moments are nanoseconds from the first, which is due as soon as it is asked for.
    """

    def __init__(self, clock: Clock, pace: Pace) -> None:
        self._clock, self._pace = clock, pace
        self._start_ns: int | None = None

    def is_due(self, at_ns: int, timeout_s: float) -> bool:
        """Whether a moment has come, after waiting for it for so long at the most."""
        start_ns = self._start()
        if self._pace is Pace.STEP:
            return True
        wait_ns = start_ns + at_ns - self._clock.now_ns()
        if wait_ns > 0 and timeout_s > 0.0:
            self._clock.sleep(min(wait_ns / 1e9, timeout_s))
        return self._clock.now_ns() - start_ns + _SLACK_NS >= at_ns

    def time_ns(self, at_ns: int) -> int:
        """When a moment is due, on the clock."""
        return self._start() + at_ns

    def slip_to(self, at_ns: int) -> None:
        """Let this moment be due now, and all to come so much later: the feed could not keep up."""
        self._start_ns = self._clock.now_ns() - at_ns

    def _start(self) -> int:
        if self._start_ns is None:
            self._start_ns = self._clock.now_ns()
        return self._start_ns
