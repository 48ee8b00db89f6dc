"""A loop that several processes of a run want is compiled by one of them and read by the others.

In a fresh tree nothing is compiled, and what begins at the same time wants the same loops: each
process would compile them for itself, and of two that note what they compiled at the same time
one is forgotten. numba looks on the disk before it compiles: whoever waited finds it there.
"""

import fcntl
import hashlib
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.places import ROOT

LONGEST_S = 60.0
"""Then it is compiled here as well: whoever holds it may be stopped, or wait for this process."""
STEP_S = 0.05

_held: dict[Path, int] = {}
"""How often this process is within each: a loop compiles those that it calls."""


def folder() -> Path:
    """Where the locks of this tree lie."""
    made = Path(tempfile.gettempdir(), f"midgrey-compiling-{os.getuid()}-{hash_of(str(ROOT))}")
    made.mkdir(exist_ok=True)
    return made


def hash_of(words: str) -> str:
    """A short name for a long one, the same in every process."""
    return hashlib.sha256(words.encode()).hexdigest()[:16]


@contextmanager
def alone(lock: Path, sleep: Callable[[float], None] = time.sleep) -> Iterator[None]:
    """Be the only process that is within, or go on after `LONGEST_S`.

    Parameters
    ----------
    lock:
        A file that may be made; it stays.
    sleep:
        Called with seconds while another process is within.
    """
    if _held.get(lock):
        _held[lock] += 1
        try:
            yield
        finally:
            _held[lock] -= 1
        return
    with lock.open("w") as file:
        for _ in range(round(LONGEST_S / STEP_S)):
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                sleep(STEP_S)
            else:
                break
        _held[lock] = 1
        try:
            yield
        finally:
            _held[lock] -= 1


def once(before: Callable[[Any, Any], Any], locks: Path) -> Callable[[Any, Any], Any]:
    """How a loop is compiled for some kinds of arguments, by one process at a time.

    Parameters
    ----------
    before:
        numba's own way: of a dispatcher and a signature; it looks among what is kept first.
    locks:
        The folder for the locks.
    """

    def compiled(loop: Any, signature: Any) -> Any:
        name = f"{loop.py_func.__module__}.{loop.py_func.__qualname__}"
        with alone(locks / hash_of(name)):
            return before(loop, signature)

    return compiled
