"""A button that is held while the unit starts: one long press that asks for the factory's settings.

It is the button that holds the picture: one of its own, else the fourth of the rail; where a pin
map has neither, the first one. It has to be closed when it is first looked at and for two seconds
from then on, so that a unit whose button is leant on for a moment keeps what was set.
"""

from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from firmware.actions import Press
from firmware.clock import Clock
from firmware.controls.gpio_map import PinMap, find_pins, read_pins
from firmware.controls.header import board_factory, is_board, pin_faults
from firmware.errors import FirmwareError

HELD_S = 2.0
LOOK_S = 0.05

WORDS = "keep the button held for a factory start"


def factory_pin(pins: PinMap) -> int | None:
    """The pin of the button that asks for it; None where there are no buttons."""
    named = [pin for pin, press in pins.buttons.items() if press is Press.HOLD]
    return next(iter([*named, *pins.rail[-1:], *pins.buttons]), None)


def held_at_start(
    clock: Clock,
    say: Callable[[str], None] = lambda _words: None,
    root: Path = Path("/"),
    factory: Any = None,  # noqa: ANN401 (no types)
) -> bool:
    """Whether the button is held for two seconds from now on; at once False where it is open.

    Whatever keeps its pin from being read is no long press, and is said by whoever opens the
    buttons.

    Parameters
    ----------
    clock:
        Time.
    say:
        Told what is waited for while it is held.
    root, factory:
        The file system to look for pins in, and gpiozero's pin factory; None takes the board's.
    """
    path = find_pins(root)
    if path is None or not is_board(root):
        return False
    try:
        pin = factory_pin(read_pins(path))
        made = board_factory(root) if factory is None else factory
    except (FirmwareError, ImportError):
        return False
    return pin is not None and _held(pin, made, clock, say)


def _held(pin: int, factory: Any, clock: Clock, say: Callable[[str], None]) -> bool:  # noqa: ANN401
    from gpiozero import Button  # noqa: PLC0415 - costs a fifth of a second

    try:
        with closing(Button(pin, pin_factory=factory)) as button:
            if not button.is_pressed:
                return False
            say(WORDS)
            end_ns = clock.now_ns() + round(HELD_S * 1e9)
            while clock.now_ns() < end_ns:
                clock.sleep(LOOK_S)
                if not button.is_pressed:
                    return False
            return True
    except pin_faults():
        return False
