"""A screen with buttons and a lamp beside it: to the loop, one board."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, Protocol

from firmware.actions import Action, HeldTogether
from firmware.clock import Clock
from firmware.controls.beeper import Beeper
from firmware.controls.buttons import Buttons
from firmware.controls.gpio_map import PinMap, find_pins, read_pins
from firmware.controls.header import board_factory, is_board
from firmware.controls.lamp import Lamp, glow_of
from firmware.controls.lamp_keeper import LampKeeper
from firmware.controls.saying import Sayer
from firmware.controls.signal_lamp import SignalLamp
from firmware.errors import FirmwareError
from firmware.system.stages import Stages
from overlays.draw.moment.shown import Shown

WARN_S = 30.0
"""Whoever switches a unit on has looked at it by then."""


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


class ButtonPanel:
    """A board whose presses come from its own keys and from buttons, and which has a lamp."""

    def __init__(self, board: Board, buttons: Buttons, lamp: LampKeeper | None = None) -> None:
        self._board, self._buttons, self._lamp = board, buttons, lamp
        self._sayer = Sayer()

    def actions(self) -> list[Action]:
        """What was pressed on either since the last call; asked at every turn of the loop."""
        pressed = self._buttons.actions()
        if pressed and self._lamp is not None:
            self._lamp.answer()
        together = [HeldTogether()] if self._buttons.are_held_together() else []
        return [*self._board.actions(), *pressed, *together]

    def paint(self, shown: Shown) -> None:
        """Paint a moment, not yet seen."""
        self._board.paint(shown)
        if self._lamp is not None:
            self._lamp.say(glow_of(shown), self._sayer.of(shown))

    def flip(self) -> None:
        """Let it be seen."""
        self._board.flip()

    def warn(self) -> None:
        """A fault is the first thing a lamp that is alone says."""
        if self._lamp is not None:
            self._lamp.warn(WARN_S)

    def close(self) -> None:
        """Let go of the pins; the board stays."""
        self._buttons.close()
        if self._lamp is not None:
            self._lamp.close()


def open_panel(
    board: Board,
    clock: Clock,
    root: Path = Path("/"),
    factory: Any = None,  # noqa: ANN401 (no types)
    stages: Stages | None = None,
) -> tuple[ButtonPanel | None, str]:
    """The board with its buttons and lamp, or what the user should know if they cannot be had.

    A machine without pins has no buttons and nothing to say about it; one whose pins are refused
    still has a keyboard and a touch screen, so that is a warning, not a fault.

    Parameters
    ----------
    board:
        The screen.
    clock:
        Time, for the lamp and for how long a button is pressed.
    root:
        The file system to look for pins in.
    factory:
        gpiozero's pin factory; None takes the board's own.
    stages:
        By which the lamp knows of the screen, and the screen of the lamp.
    """
    path = find_pins(root)
    if path is None or not is_board(root):
        return None, ""
    try:
        pins = read_pins(path)
        made = board_factory(root) if factory is None else factory
        buttons = Buttons(pins, made, clock)
        with _closed_on_fault(buttons):
            keeper = _keeper(pins, clock, made, stages or Stages())
        if keeper is not None:
            keeper.start()
        return ButtonPanel(board, buttons, keeper), ""
    except (FirmwareError, ImportError) as fault:
        return None, f"buttons do not work: {fault}"


def _keeper(pins: PinMap, clock: Clock, factory: Any, stages: Stages) -> LampKeeper | None:  # noqa: ANN401
    """What keeps the lamps and the buzzer that the map has; None where it has none."""
    has_signal = pins.colours is not None or pins.pair is not None
    if pins.lamp is None and not has_signal and pins.buzzer is None:
        return None
    with ExitStack() as made:
        lamp = signal = beeper = None
        if pins.lamp is not None:
            lamp = Lamp(pins.lamp, clock, factory)
            made.callback(lamp.close)
        if has_signal:
            signal = SignalLamp(pins, clock, factory)
            made.callback(signal.close)
        if pins.buzzer is not None:
            beeper = Beeper(pins.buzzer, clock, factory)
        made.pop_all()
    return LampKeeper(lamp, clock, stages, signal, beeper)


@contextmanager
def _closed_on_fault(buttons: Buttons) -> Iterator[None]:
    try:
        yield
    except FirmwareError:
        buttons.close()
        raise


@contextmanager
def opened_panel(
    board: Board,
    clock: Clock,
    root: Path = Path("/"),
    stages: Stages | None = None,
    *,
    warn: bool = False,
) -> Iterator[tuple[Board, tuple[str, ...]]]:
    """The board with its buttons and lamp for as long as they are used, and warnings.

    With `warn` a lamp that is alone begins with a fault: something is to be read on a screen.
    """
    panel, warning = open_panel(board, clock, root, stages=stages)
    if panel is None:
        yield board, (warning,) if warning else ()
        return
    if warn:
        panel.warn()
    try:
        yield panel, ()
    finally:
        panel.close()
