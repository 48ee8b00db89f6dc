"""The board's pin header: the one pin factory for it, and what is said where pins are refused."""

import os
import sys
import tempfile
from pathlib import Path
from typing import Any

from firmware.errors import ScreenError

OLD_CHIP = 4
"""Where kernels before 6.6.45 have the header of a Pi 5 (gpiozero issue 1166); else it is 0."""


def pin_faults() -> tuple[type[Exception], ...]:
    """What gpiozero and the kernel raise where a pin cannot be had."""
    from gpiozero import GPIOZeroError  # noqa: PLC0415 - costs a fifth of a second

    # lgpio's own error ("GPIO busy") is neither; it is there only where lgpio is.
    own = getattr(sys.modules.get("lgpio"), "error", None)
    return (GPIOZeroError, OSError, own) if own is not None else (GPIOZeroError, OSError)


def pin_refused(fault: Exception) -> ScreenError:
    """The one sentence about it."""
    return ScreenError(
        f"the pins of buttons and lamp cannot be had ({fault}); add the user to the group gpio, "
        "and see that no other program uses them"
    )


def is_board(root: Path = Path("/")) -> bool:
    """Whether this is a Raspberry Pi; a laptop has GPIO chips as well, but nobody's buttons."""
    return "Raspberry Pi" in _model(root)


def header_chip(root: Path = Path("/")) -> int:
    """Number of the GPIO chip that drives the header; gpiozero before 2.0.1.post3 gets it wrong."""
    old = "Raspberry Pi 5 " in _model(root) and (root / f"dev/gpiochip{OLD_CHIP}").exists()
    return OLD_CHIP if old else 0


def board_factory(root: Path = Path("/")) -> Any:  # noqa: ANN401 (no types)
    """The pin factory by name: left to itself gpiozero falls back in silence to one that is deaf.

    Raises
    ------
    ImportError
        lgpio is not installed.
    ScreenError
        The chip cannot be opened.
    """
    # lgpio makes a pipe in the current folder, and finds no edge where it cannot (lg issue 22).
    os.environ.setdefault("LG_WD", os.environ.get("XDG_RUNTIME_DIR") or tempfile.gettempdir())
    from gpiozero.pins.lgpio import LGPIOFactory  # noqa: PLC0415 - on boards alone

    try:
        return LGPIOFactory(chip=header_chip(root))
    except pin_faults() as fault:
        raise pin_refused(fault) from fault


def _model(root: Path) -> str:
    try:
        return (root / "proc/device-tree/model").read_text(errors="replace")
    except OSError:
        return ""
