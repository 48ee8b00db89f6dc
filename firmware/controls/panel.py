"""A screen with buttons beside it: to the loop, one board."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from firmware.controls.buttons import Buttons
from firmware.controls.pins import read_pins, shipped_pins
from firmware.errors import FirmwareError
from firmware.state import Action
from overlays.draw.shown import Shown


class Board(Protocol):
    """What the loop needs of a screen."""

    def actions(self) -> list[Action]:
        """What was pressed since the last call; never waits."""
        ...

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        ...

    def flip(self) -> None:
        """Let it be seen."""
        ...


class Panel:
    """A board whose presses come from its own keys and from buttons."""

    def __init__(self, board: Board, buttons: Buttons) -> None:
        self._board, self._buttons = board, buttons

    def actions(self) -> list[Action]:
        """What was pressed on either since the last call."""
        return [*self._board.actions(), *self._buttons.actions()]

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._board.paint(shown)

    def flip(self) -> None:
        """Let it be seen."""
        self._board.flip()


def open_buttons(root: Path = Path("/")) -> tuple[Buttons | None, str]:
    """The board's buttons, and what the user should know if they cannot be had.

    A machine without pins has no buttons and nothing to say about it; one whose pins are refused
    still has a keyboard and a touch screen, so that is a warning, not a fault.

    Parameters
    ----------
    root:
        The file system to look for pins in.
    """
    path = shipped_pins()
    if path is None or not _has_header(root):
        return None, ""
    try:
        return Buttons(read_pins(path)), ""
    except (FirmwareError, ImportError) as fault:
        return None, f"buttons do not work: {fault}"


def _has_header(root: Path) -> bool:
    """Whether this is a Raspberry Pi; a laptop has GPIO chips as well, but nobody's buttons."""
    try:
        return "Raspberry Pi" in (root / "proc/device-tree/model").read_text(errors="replace")
    except OSError:
        return False


@contextmanager
def opened_panel(board: Board, root: Path = Path("/")) -> Iterator[tuple[Board, tuple[str, ...]]]:
    """The board with its buttons beside it for as long as they are used, and warnings."""
    buttons, warning = open_buttons(root)
    if buttons is None:
        yield board, (warning,) if warning else ()
        return
    try:
        yield Panel(board, buttons), ()
    finally:
        buttons.close()
