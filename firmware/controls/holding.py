"""Whether a button was pressed short or long, from when its contact closed and opened."""

from collections.abc import Iterable
from dataclasses import dataclass

from firmware.actions import Action, Contact, Edge, RailPress, Touch

LONG_NS = 500_000_000
"""Held so long, it is a long press, and acts at once (common practice, no source)."""
AGAIN_NS = 120_000_000
"""What goes on while a button is held goes on so often: eight times a second."""
MOST_AGAIN = 120
"""A contact that is stuck goes on no more than so often."""


@dataclass(slots=True)
class _Down:
    """A button that is held: since when, when it is next told of, and how often it was."""

    since_ns: int
    next_ns: int
    told: int = 0


class Holding:
    """Makes presses of edges; all other actions pass through in their order."""

    def __init__(self) -> None:
        self._down: dict[int, _Down] = {}

    def presses(self, actions: Iterable[Action], now_ns: int) -> list[Action]:
        """What was done since the last call, and what is being held by now.

        A button that closes twice, as where a click and a touch say the same, is closed once.
        """
        out: list[Action] = []
        for action in actions:
            if not isinstance(action, Edge):
                out.append(action)
                continue
            at_ns = now_ns if action.at_ns is None else action.at_ns
            if action.contact is Contact.CLOSED:
                self._down.setdefault(action.button, _Down(at_ns, at_ns + LONG_NS))
            elif (down := self._down.pop(action.button, None)) is not None and not down.told:
                # A key or a touch may have been let go of at any time since the last look, however
                # long the drawing took: it is long where it was seen to be held, which is below.
                is_long = action.at_ns is not None and at_ns - down.since_ns >= LONG_NS
                out.append(RailPress(action.button, Touch.LONG if is_long else Touch.SHORT))
        for button, down in self._down.items():
            if now_ns >= down.next_ns and down.told < MOST_AGAIN:
                out.append(RailPress(button, Touch.AGAIN if down.told else Touch.LONG))
                down.told += 1
                down.next_ns = now_ns + AGAIN_NS
        return out
