"""A board that a kit sees too: what is painted is published, what the kit asks for is done."""

from typing import Protocol

from firmware.actions import Action
from firmware.controls.panel import Board
from overlays.draw.moment.shown import Shown


class OfKit(Protocol):
    """A kit, as far as a board needs it."""

    def actions(self) -> list[Action]:
        """What the kit asks for; never waits."""

    def publish(self, shown: Shown) -> None:
        """Leave what was painted; never waits."""


class KitBoard:
    """A board whose moments are published.

    Parameters
    ----------
    board:
        The screen, with its buttons and phones.
    """

    def __init__(self, board: Board, kitting: OfKit) -> None:
        self._board, self._kitting = board, kitting

    def actions(self) -> list[Action]:
        """What was pressed, and marks that the kit asks for; never waits."""
        return [*self._board.actions(), *self._kitting.actions()]

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._board.paint(shown)
        self._kitting.publish(shown)

    def flip(self) -> None:
        """Let it be seen."""
        self._board.flip()
