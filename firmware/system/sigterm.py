"""SIGTERM as a question that is asked now and then, for a loop that has an end of its own."""

import signal
import threading
from typing import Any


class EndAsked:
    """Whether SIGTERM came since this was made; only the main thread can be told.

    A library that shows a window leaves a handler that is already there alone, so that this one
    holds also where a screen comes later.
    """

    def __init__(self) -> None:
        self._told = threading.Event()
        self._is_ours = threading.current_thread() is threading.main_thread()
        self._before: Any = None
        if self._is_ours:
            self._before = signal.signal(signal.SIGTERM, lambda _number, _frame: self._told.set())

    def to_end(self) -> bool:
        """Whether it came."""
        return self._told.is_set()

    def close(self) -> None:
        """From now on SIGTERM does what it did before; closing twice is allowed."""
        if self._is_ours:
            signal.signal(signal.SIGTERM, self._before)
            self._is_ours = False
