"""What lets the first picture come sooner: nothing loaded that is not used, nothing waited for."""

import contextlib
import gc
import os
import sys
import threading
from collections.abc import Callable, Iterator
from typing import TypeVar

Result = TypeVar("Result")

MEANWHILE_S = 0.1
"""From one look at what is slow to the next."""

ALGEBRA_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
"""How many threads numpy's linear algebra starts, for the libraries that it comes with."""


def algebra_in_one_thread() -> None:
    """Let numpy's linear algebra work in the thread that asks for it; before numpy is loaded.

    Its library starts a thread a core when it is loaded, which is a third of the processor time of
    a start. On matrices of some hundred rows these wait for each other more than they work, on
    cores that counting and drawing have shared out among themselves. Whoever sets one of these in
    the environment is obeyed.
    """
    for name in ALGEBRA_THREADS:
        os.environ.setdefault(name, "1")


@contextlib.contextmanager
def without(package: str) -> Iterator[None]:
    """Let imports of a package fail inside, so that who would only like to have it does without.

    Where it is loaded already, nothing is done.
    """
    if package in sys.modules:
        yield
        return
    # None is what the import system documents as "not to be found".
    sys.modules[package] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        sys.modules.pop(package, None)


@contextlib.contextmanager
def collection_held() -> Iterator[None]:
    """Collect no garbage inside, until `resume_collection` is called or the block ends.

    A start makes a hundred thousand objects and hardly any garbage; going through them again and
    again is a twentieth of its time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            resume_collection()


def resume_collection() -> None:
    """Collect garbage again; what is there by now is there to stay and never gone through."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()


def worked(work: Callable[[], Result], meanwhile: Callable[[], None]) -> Result:
    """Let a thread do something slow; this one does something small again and again until it has.

    Parameters
    ----------
    work:
        What it raises is raised here.
    meanwhile:
        Called ten times a second.
    """
    done, made, raised = threading.Event(), [], []

    def run() -> None:
        try:
            made.append(work())
        except BaseException as fault:  # noqa: BLE001 - handed over, not swallowed
            raised.append(fault)
        finally:
            done.set()

    threading.Thread(target=run, name="opening", daemon=True).start()
    while not done.wait(MEANWHILE_S):
        meanwhile()
    if raised:
        raise raised[0]
    return made[0]


class Loading:
    """Something loaded by a thread of its own, while the caller waits for a device or a screen.

    What it raises is left to whoever then needs what was not loaded: there it is reported.
    """

    def __init__(self, load: Callable[[], object]) -> None:
        self._load = load
        self._thread = threading.Thread(target=self._run, name="loading", daemon=True)
        self._thread.start()

    def is_over(self, within_s: float) -> bool:
        """Whether it has ended, or does within that time."""
        self._thread.join(within_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        with contextlib.suppress(Exception):
            self._load()
