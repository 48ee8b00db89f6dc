"""Looks after the stages from outside, so that one that hangs has no say in it.

It tells the service manager how we are. The watchdog is fed while frames that come in come out on
the screen, while there are none to come, and while kernels are made; then only. What the screen
cannot say of itself, that it is frozen, stands in the unit's status and in its log.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from firmware.clock import Clock
from firmware.errors import ThreadStuckError
from firmware.live.freshness import Freshness, status_of
from firmware.system.compiling import ONE_KERNEL_NS, Compiling, goes_on
from firmware.system.stages import Stages
from firmware.system.systemd import Notifier
from firmware.system.threads import Worker
from overlays.draw.moment.shown import Face

TURN_S = 0.1
CLOSE_S = 0.5


class Oversight:
    """The thread that looks, and what it knows.

    Parameters
    ----------
    stages:
        Whose signs of life are watched.
    notifier:
        The line to the service manager.
    compiling:
        Says whether kernels are being made.
    say:
        Takes a sentence for the log.
    """

    def __init__(
        self,
        stages: Stages,
        notifier: Notifier,
        compiling: Compiling,
        clock: Clock,
        say: Callable[[str], None],
    ) -> None:
        self._stages, self._notifier, self._compiling = stages, notifier, compiling
        self._clock, self._say = clock, say
        self._moved, self._moved_ns = compiling.moved, clock.now_ns() - ONE_KERNEL_NS
        self._was_passing = True
        self.seen = Freshness(Face.STARTING, "")
        """What was painted last; written by the thread that paints."""
        self._worker = Worker("oversight", self._turn)

    def start(self) -> None:
        """Begin."""
        self._worker.start()

    def close(self) -> None:
        """Stop."""
        self._worker.ask_to_stop()
        with suppress(ThreadStuckError):
            self._worker.join(CLOSE_S)

    def step(self) -> None:
        """One turn without its pause."""
        now_ns, stages = self._clock.now_ns(), self._stages
        is_passing, is_making = stages.is_passing(now_ns), self._is_making(now_ns)
        if is_passing or is_making:
            self._notifier.alive()
        if is_making:
            self._notifier.still_starting()
        status = status_of(now_ns, self.seen, stages, is_making=is_making)
        self._notifier.status(status)
        if is_passing is not self._was_passing and not is_making:
            self._was_passing = is_passing
            self._say(f"frames pass again after a stall ({status})" if is_passing else status)

    def _is_making(self, now_ns: int) -> bool:
        compiling = self._compiling
        if self._moved != compiling.moved:
            self._moved, self._moved_ns = compiling.moved, now_ns
        return goes_on(now_ns - self._moved_ns, is_making=compiling.is_making)

    def _turn(self) -> None:
        self.step()
        self._worker.pause(TURN_S)


@contextmanager
def overseen(oversight: Oversight) -> Iterator[None]:
    """Looked after for as long as the loop runs."""
    oversight.start()
    try:
        yield
    finally:
        oversight.close()
