"""A unit whose feed cannot be opened at its start says why and tries again: nobody sits at it.

A command that is typed ends with the sentence instead, at once.
"""

from collections.abc import Callable, Iterator
from typing import Protocol, TypeVar

from firmware.clock import Clock
from firmware.errors import FeedFormatError, FeedNotFoundError
from firmware.system.systemd import Notifier

Opened = TypeVar("Opened")

PAUSES_S = (1.0, 2.0, 5.0)
"""From one try to the next; the last for as long as it lasts. Our own choice."""

STEP_S = 0.1
"""How often, meanwhile, a press is looked for and the service manager told that we are there."""


class Start(Protocol):
    """What a person sees and may do before there is a feed."""

    def say(self, words: str) -> None:
        """Show what is waited for."""
        ...

    def is_over(self) -> bool:
        """Whether somebody asked to end."""
        ...


def opened_patiently(
    opening: Callable[[], Opened], start: Start, notifier: Notifier, clock: Clock
) -> Opened | None:
    """What was opened; None where somebody ended it before.

    Parameters
    ----------
    opening:
        Opens it; called again and again while it cannot be had.
    start:
        The screen.
    notifier:
        A service tries again; without a service manager the first fault is raised.

    Raises
    ------
    FirmwareError
        It cannot be had and nothing waits for it, or it never will be.
    """
    for pause_s in _pauses():
        try:
            return opening()
        except (FeedNotFoundError, FeedFormatError) as fault:
            if not notifier.is_heard:
                raise
            start.say(f"{fault}; tried again")
        notifier.ready()  # a screen that says why there is no picture is ready too
        end_ns = clock.now_ns() + round(pause_s * 1e9)
        while clock.now_ns() < end_ns:
            if start.is_over():
                return None
            notifier.alive()
            clock.sleep(STEP_S)
    raise AssertionError  # the pauses never end


def _pauses() -> Iterator[float]:
    yield from PAUSES_S
    while True:
        yield PAUSES_S[-1]
