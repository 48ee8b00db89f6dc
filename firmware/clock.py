"""The only place that reads time. Everything else is handed a clock."""

import os
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from overlays.wording.read_number import whole


class Clock(Protocol):
    """What the appliance knows of time."""

    def now_ns(self) -> int:
        """Monotonic time in nanoseconds, on the clock that frames are stamped with."""
        ...

    def wall_s(self) -> float:
        """Time of day, seconds since 1970-01-01 UTC."""
        ...

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        ...


class SystemClock:
    """The machine's clock; CLOCK_MONOTONIC, the clock of V4L2 buffer stamps."""

    def now_ns(self) -> int:
        """Monotonic time in nanoseconds."""
        return time.monotonic_ns()

    def wall_s(self) -> float:
        """Time of day, seconds since 1970-01-01 UTC."""
        return time.time()

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        if seconds > 0.0:
            time.sleep(seconds)


class HandClock:
    """A clock moved by hand: sleeping moves it on at once. For tests and reproducible runs."""

    def __init__(self, start_ns: int = 0, wall_start_s: float = 0.0) -> None:
        self._now_ns = start_ns
        self._start_ns = start_ns
        self._wall_start_s = wall_start_s

    def now_ns(self) -> int:
        """Monotonic time in nanoseconds."""
        return self._now_ns

    def wall_s(self) -> float:
        """Time of day, seconds since 1970-01-01 UTC."""
        return self._wall_start_s + (self._now_ns - self._start_ns) / 1e9

    def sleep(self, seconds: float) -> None:
        """Move on by so much."""
        self.move(seconds)

    def move(self, seconds: float) -> None:
        """Move the clock on."""
        self._now_ns += round(max(seconds, 0.0) * 1e9)


def process_age_s(root: Path = Path("/proc")) -> float | None:
    """Seconds since this process was started; None where the system does not say."""
    try:
        fields = (root / "self" / "stat").read_text().rpartition(")")[2].split()
        started_s = whole(fields[19]) / os.sysconf("SC_CLK_TCK")
        return time.clock_gettime(time.CLOCK_BOOTTIME) - started_s
    except (OSError, ValueError, IndexError, AttributeError):
        return None


def iso_utc(wall_s: float) -> str:
    """A time of day as ISO 8601 in UTC, to the millisecond."""
    return datetime.fromtimestamp(wall_s, UTC).isoformat(timespec="milliseconds")


def local_time(wall_s: float) -> str:
    """A time of day as the clock on the wall shows it, hours:minutes:seconds."""
    return datetime.fromtimestamp(wall_s, UTC).astimezone().strftime("%H:%M:%S")


DAY_S = 86_400.0


def since_midnight_s(wall_s: float) -> float:
    """Seconds since midnight UTC of a time of day.

    Examples
    --------
    >>> since_midnight_s(1_795_737_600.0 + 90.5)
    90.5
    """
    return wall_s % DAY_S


FIRST_DAY_S = 1_735_689_600.0
"""2025-01-01: a board without a clock of its own starts earlier than that."""


def day_of(wall_s: float) -> str | None:
    """The day in UTC of a time, as 2026-11-27; None where the clock cannot be right.

    Examples
    --------
    >>> day_of(1_795_737_600.0), day_of(0.0)
    ('2026-11-27', None)
    """
    if wall_s < FIRST_DAY_S:
        return None
    return time.strftime("%Y-%m-%d", time.gmtime(wall_s))
