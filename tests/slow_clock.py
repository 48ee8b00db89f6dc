"""A clock by hand on which time passes with every look at it, so that work takes some."""

from firmware.clock import HandClock


class SlowClock:
    """The same time as another; ten milliseconds go by with every look."""

    def __init__(self, clock: HandClock) -> None:
        self._clock = clock
        self.wall_s, self.sleep = clock.wall_s, clock.sleep

    def now_ns(self) -> int:
        """Monotonic, in ns."""
        self._clock.move(0.01)
        return self._clock.now_ns()
