"""Threads that can be stopped, and the place where one hands its newest to another."""

import contextlib
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Generic, TypeVar

from firmware.clock import SystemClock
from firmware.errors import ThreadStuckError

Thing = TypeVar("Thing")

ASIDE_S = 300.0
"""How long a thing that is made aside may take. A still takes milliseconds, but for the loop that
draws it, which has to be compiled first where nobody has yet: half a minute on two cores that three
such starts wanted, and with 20 s the mark was lost."""
STOP_S = 2.0
"""How long a thread that only waits may take to stop: several times its longest wait."""
FINISH_S = 20.0
"""How long a thread that works may take to finish what it has begun. A turn takes milliseconds, but
for a first frame, whose loops are loaded or compiled: 11 s on an emulated board."""
MAKING_S = 90.0
"""The same where what it works with is being compiled, which nothing can break off."""


class Newest(Generic[Thing]):
    """Holds one thing. A newer one takes its place, and the older is given back."""

    def __init__(self) -> None:
        self._there = threading.Condition()
        self._thing: Thing | None = None

    def put(self, thing: Thing, patience_s: float = 0.0) -> Thing | None:
        """Leave a thing; whatever had not been taken comes back.

        Parameters
        ----------
        thing:
            The newest.
        patience_s:
            How long to wait first for the one before it to be taken, or for `wake`.
        """
        with self._there:
            if self._thing is not None and patience_s > 0.0:
                self._there.wait(patience_s)
            left, self._thing = self._thing, thing
            self._there.notify_all()
        return left

    def wake(self) -> None:
        """Let whoever waits go on without a thing."""
        with self._there:
            self._there.notify_all()

    def take(self, timeout_s: float) -> Thing | None:
        """The thing, waiting for it; None where none came in time, or where one was woken."""
        with self._there:
            if self._thing is None and timeout_s > 0.0:
                self._there.wait(timeout_s)
            thing, self._thing = self._thing, None
            if thing is not None:
                self._there.notify_all()  # whoever was patient with it
        return thing


class Worker:
    """A named thread that does one bounded turn after another until it is told to stop.

    Parameters
    ----------
    name:
        Of the thread.
    turn:
        One turn; it must come back within a fraction of what it is waited for at the end.
    beat:
        Called in the thread at its start and after each turn: a sign of life.
    """

    def __init__(
        self, name: str, turn: Callable[[], None], beat: Callable[[], None] = lambda: None
    ) -> None:
        self.name, self._turn, self._beat = name, turn, beat
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self.fault: BaseException | None = None
        """What ended the thread before it was told to; to be raised by whoever looks after it."""

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def ask_to_stop(self) -> None:
        """The turn under way is the last."""
        self._stop.set()

    def pause(self, seconds: float) -> None:
        """Wait inside a turn, but no longer than until the thread is told to stop."""
        self._stop.wait(seconds)

    def join(self, deadline_s: float = STOP_S) -> None:
        """Wait for the end.

        Raises
        ------
        ThreadStuckError
            It outlived the deadline.
        """
        if not self.is_over(deadline_s):
            raise _stuck([self.name], deadline_s)

    def is_over(self, within_s: float) -> bool:
        """Whether it has ended, or does within that time."""
        if self._thread.is_alive():
            self._thread.join(max(0.0, within_s))
        return not self._thread.is_alive()

    def _run(self) -> None:
        _call_thread(self.name)
        try:
            self._beat()
            while not self._stop.is_set():
                self._turn()
                self._beat()
        except BaseException as fault:  # noqa: BLE001 - handed over, not swallowed
            self.fault = fault


class Aside(Generic[Thing]):
    """One thing made in a thread of its own, while the caller makes another.

    Parameters
    ----------
    name:
        Of the thread.
    make:
        Makes it.
    """

    def __init__(self, name: str, make: Callable[[], Thing]) -> None:
        self._name, self._make = name, make
        self._made: list[Thing] = []
        self._fault: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def result(self, deadline_s: float = ASIDE_S) -> Thing:
        """The thing, once it is made; raises what making it raised.

        Raises
        ------
        ThreadStuckError
            It outlived the deadline.
        """
        self._thread.join(deadline_s)
        if self._thread.is_alive():
            raise ThreadStuckError(f"thread {self._name!r} took longer than {deadline_s:g} seconds")
        if self._fault is not None:
            raise self._fault
        return self._made[0]

    def _run(self) -> None:
        _call_thread(self._name)
        try:
            self._made.append(self._make())
        except BaseException as fault:  # noqa: BLE001 - handed over, not swallowed
            self._fault = fault


def _call_thread(name: str) -> None:
    """Let the kernel know the calling thread by its name, as `ps -L` and debuggers show it."""
    with contextlib.suppress(OSError):  # a machine without /proc has no such names
        Path("/proc/thread-self/comm").write_text(name[:15], "ascii")


def stop_all(
    *workers: Worker, waiting_at: Sequence[Newest[Any]] = (), deadline_s: float = FINISH_S
) -> None:
    """Ask all to stop, wake those that wait at a place, then wait for the end of each.

    Raises
    ------
    ThreadStuckError
        One of them outlived the deadline, which is that of all together.
    """
    for worker in workers:
        worker.ask_to_stop()
    for place in waiting_at:
        place.wake()
    clock = SystemClock()
    end_ns = clock.now_ns() + round(deadline_s * 1e9)
    stuck = [each.name for each in workers if not each.is_over((end_ns - clock.now_ns()) / 1e9)]
    if stuck:
        raise _stuck(stuck, deadline_s)


def _stuck(names: Sequence[str], deadline_s: float) -> ThreadStuckError:
    which = " and ".join(repr(each) for each in names)
    return ThreadStuckError(f"thread {which} did not stop within {deadline_s:g} seconds")
