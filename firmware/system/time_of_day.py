"""How far the time of day may be believed: a board without a clock of its own starts anywhere."""

import ctypes
import os
from contextlib import suppress
from enum import Enum
from pathlib import Path

from firmware.clock import FIRST_DAY_S
from overlays.wording.read_number import whole

STA_UNSYNC = 0x0040
"""Of the status that adjtimex(2) gives (linux/timex.h): the clock is not synchronised."""
SYNCHRONISED = Path("run/systemd/timesync/synchronized")
"""There once systemd-timesyncd has set the clock (systemd-timesyncd.service(8))."""
RTC = Path("sys/class/rtc")
"""Clocks that go on without power; `hctosys` is 1 for the one the kernel set its clock by."""


class TimeSource(Enum):
    """What set the time of day."""

    SYNCHRONISED = "synchronised"
    OWN = "own"
    """A clock of the machine that goes on without power."""
    NONE = "none"


class _Timex(ctypes.Structure):
    """struct timex as far as the status; the rest is room (adjtimex(2))."""

    _fields_ = (
        ("modes", ctypes.c_uint),
        ("offset", ctypes.c_long),
        ("freq", ctypes.c_long),
        ("maxerror", ctypes.c_long),
        ("esterror", ctypes.c_long),
        ("status", ctypes.c_int),
        ("rest", ctypes.c_char * 512),
    )


def kernel_status() -> int | None:
    """The kernel's status of its clock; None where it does not say."""
    asked = _Timex()
    try:
        answered = ctypes.CDLL(None).adjtimex(ctypes.byref(asked))
    except (OSError, AttributeError):
        return None
    return None if answered < 0 else int(asked.status)


def time_source(wall_s: float, status: int | None, root: Path = Path("/")) -> TimeSource:
    """What the time of day rests on.

    Parameters
    ----------
    wall_s:
        The time of day.
    status:
        Of the kernel's clock; None where unknown.
    root:
        The file system to look in.
    """
    if wall_s < FIRST_DAY_S:
        return TimeSource.NONE
    if (root / SYNCHRONISED).exists() or (status is not None and not status & STA_UNSYNC):
        return TimeSource.SYNCHRONISED
    return TimeSource.OWN if _has_own_clock(root) else TimeSource.NONE


def _has_own_clock(root: Path) -> bool:
    """Whether the kernel was set by a clock that stood right: one without a battery starts anew."""
    with suppress(OSError, ValueError):
        for clock in sorted((root / RTC).iterdir()):
            was_set_by = (clock / "hctosys").read_text().strip() == "1"
            if was_set_by and whole((clock / "since_epoch").read_text()) >= FIRST_DAY_S:
                return True
    return False


def boot_name(root: Path = Path("/")) -> str:
    """The kernel's name of this run of the machine; that of the process where it has none."""
    with suppress(OSError):
        return (root / "proc/sys/kernel/random/boot_id").read_text().strip()
    return f"process {os.getpid()}"
