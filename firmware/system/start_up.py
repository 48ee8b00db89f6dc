"""What lets the first picture come sooner: nothing loaded that is not used, nothing waited for."""

import contextlib
import gc
import sys
import threading
from collections.abc import Callable, Iterator

from firmware.errors import ThreadStuckError

LOAD_S = 120.0
"""Longest that loading may hold the end up: kernels that must be compiled take a minute or two."""


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


class Loading:
    """Something loaded by a thread of its own, while the caller waits for a device or a screen.

    What it raises is left to whoever then needs what was not loaded: there it is reported.
    """

    def __init__(self, load: Callable[[], object]) -> None:
        self._load = load
        self._thread = threading.Thread(target=self._run, name="loading", daemon=True)
        self._thread.start()

    def join(self, deadline_s: float = LOAD_S) -> None:
        """Wait for the end.

        Raises
        ------
        ThreadStuckError
            It outlived the deadline.
        """
        self._thread.join(deadline_s)
        if self._thread.is_alive():
            raise ThreadStuckError(f"loading took longer than {deadline_s:g} seconds")

    def _run(self) -> None:
        with contextlib.suppress(Exception):
            self._load()
