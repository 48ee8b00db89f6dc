"""Says that kernels are being compiled, which the first start on a machine waits for.

numba tells whoever listens when it compiles a function (its event "numba:compile", documented
under "Event API"); what it finds in its cache it loads without a word.
"""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

ABOUT = 110
"""Functions that one reading compiles, numba's own among them: counted with numba 0.68 on the
bench; a screen takes about a third more."""

EVERY = 20
"""From one line to the next where lines cannot be written over."""

A_WAIT = 5
"""Functions from which on it takes seconds, so that one who waits for an answer is told."""

MADE_LATELY_NS = 2_000_000_000
"""After a step of making kernels the next may take so long to begin."""

ONE_KERNEL_NS = 300_000_000_000
"""And its steps, which nothing interrupts, may take so long. The longest, the machine code of the
picture's kernel, took 20 s of a start of 214 s beside other work on an x86-64 of 2023; a small
board's cores are several times as slow, an emulated one's tens of times."""

FIRST_START = "first start on this machine: preparing the measuring code for its processor, once"


class Compiling:
    """How many functions have been compiled so far; counted in whatever thread compiles them.

    Attributes
    ----------
    count:
        Functions whose compilation was begun.
    moved:
        Goes up with every step of compiling or loading one: while it does, nothing hangs.
    """

    def __init__(self, say: Callable[[str], None] | None = None) -> None:
        self._say, self._lock = say, threading.Lock()
        self._under_way = self._held = 0
        self.count = self.moved = 0

    @property
    def is_making(self) -> bool:
        """Whether a function is being compiled or loaded now."""
        return self._under_way > 0 or self._held > 0

    @property
    def words(self) -> str:
        """What is going on; empty where nothing had to be compiled."""
        return f"{FIRST_START}: {_share(self.count)}" if self.count else ""

    def one_more(self) -> None:
        """Another one is begun."""
        with self._lock:
            self.count += 1
            self.moved += 1
            self._under_way += 1
        if self._say is not None:
            self._say(self.words)

    def one_done(self) -> None:
        """One is compiled."""
        with self._lock:
            self.moved += 1
            self._under_way = max(self._under_way - 1, 0)

    def a_step(self) -> None:
        """A step of one is done."""
        with self._lock:
            self.moved += 1

    def compiler(self, more: int) -> None:
        """One thread more, or one less, has the compiler or waits for it, be it only to load."""
        with self._lock:
            self.moved += 1
            self._held = max(self._held + more, 0)


def goes_on(since_ns: int, *, is_making: bool) -> bool:
    """Whether kernels are being made, by how long ago the last step of that was heard of.

    Parameters
    ----------
    since_ns:
        The time since `Compiling.moved` last went up.
    is_making:
        As `Compiling` says now.

    Examples
    --------
    >>> goes_on(3_000_000_000, is_making=True), goes_on(3_000_000_000, is_making=False)
    (True, False)
    """
    return since_ns < (ONE_KERNEL_NS if is_making else MADE_LATELY_NS)


def _share(count: int) -> str:
    """How far it is, as far as that can be told beforehand."""
    return f"{count} of about {ABOUT} parts" if count <= ABOUT else f"{count} parts"


def listen(heard: Compiling) -> Callable[[], None]:
    """Tell it of every function that is compiled from now on; imports numba.

    Returns
    -------
    Callable[[], None]
        Tells it no more.
    """
    from numba.core import event  # noqa: PLC0415 - only where something is measured

    class Ears(event.Listener):
        """Hears numba."""

        def on_start(self, _event: object) -> None:
            """One is begun."""
            heard.one_more()

        def on_end(self, _event: object) -> None:
            """One is done."""
            heard.one_done()

    class Steps(event.Listener):
        """Hears its smaller steps."""

        def on_start(self, _event: object) -> None:
            """A step is begun."""
            heard.a_step()

        def on_end(self, _event: object) -> None:
            """It is done."""
            heard.a_step()

    class Lock(event.Listener):
        """Hears of the compiler's lock, which is taken to load a kernel from the cache too."""

        def on_start(self, _event: object) -> None:
            """It is asked for."""
            heard.compiler(1)

        def on_end(self, _event: object) -> None:
            """It was given back."""
            heard.compiler(-1)

    told = {"numba:compile": Ears(), "numba:run_pass": Steps(), "numba:compiler_lock": Lock()}
    for kind, listener in told.items():
        event.register(kind, listener)  # type: ignore[no-untyped-call]

    def no_more() -> None:
        for kind, listener in told.items():
            event.unregister(kind, listener)  # type: ignore[no-untyped-call]

    return no_more


@contextmanager
def said_on(out: TextIO, *, in_logs: bool = True) -> Iterator[Compiling]:
    """Say on a stream for people that kernels are compiled, for as long as it lasts.

    On a terminal one line is written over and over and wiped at the end; elsewhere there is a line
    at the first function and at every twentieth after it; where `in_logs` is false, one alone, once
    it is a wait: whoever reads by machine reads standard output.
    """
    is_terminal = out.isatty()

    def say(words: str) -> None:
        if is_terminal:
            print(f"\r\x1b[Kmidgrey: {words}", end="", file=out, flush=True)
        elif in_logs and made.count % EVERY == 1:
            print(f"midgrey: {words}", file=out, flush=True)
        elif not in_logs and made.count == A_WAIT:
            print(f"midgrey: {FIRST_START}", file=out, flush=True)

    made = Compiling(say)
    end = listen(made)
    try:
        yield made
    finally:
        end()
        if is_terminal and made.count:
            print("\r\x1b[K", end="", file=out, flush=True)
