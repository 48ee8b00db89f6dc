"""What the kernel says of batteries that the machine runs on; nothing where it knows of none.

Source: torvalds/linux Documentation/ABI/testing/sysfs-class-power (44722ff7): `type`, `present`,
`capacity` (0 to 100 percent), `capacity_level`, `capacity_error_margin`, `status`. `scope`, which
tells the battery of a mouse from the machine's own, is of its power_supply_sysfs.c (from memory).
"""

from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from firmware.health.kernel_files import text_of, whole_number

FOLDER = "sys/class/power_supply"
MOST = 8
"""Batteries that are looked at."""


class BatteryLevel(Enum):
    """How full a battery is by its own driver; the value is the kernel's word."""

    CRITICAL = "Critical"
    LOW = "Low"


class BatteryGoing(Enum):
    """What its charge does; the value is the kernel's word."""

    CHARGING = "Charging"
    DISCHARGING = "Discharging"
    RESTING = "Not charging"
    FULL = "Full"


@dataclass(frozen=True, slots=True)
class BatteryLook:
    """One battery; None where it does not say.

    Attributes
    ----------
    name:
        As the kernel calls it.
    percent:
        Of its capacity, 0 to 100.
    percent_pm:
        By how much that may be off, where its gauge says so.
    level:
        Low or critical, by its own driver; None for anything else.
    going:
        Whether it is being charged or emptied.
    """

    name: str
    percent: int | None = None
    percent_pm: int | None = None
    level: BatteryLevel | None = None
    going: BatteryGoing | None = None


def look_at_batteries(root: Path = Path("/")) -> tuple[BatteryLook, ...]:
    """Those that are there, by name."""
    try:
        folders = sorted((root / FOLDER).iterdir())
    except OSError:
        return ()
    return tuple(_look(folder) for folder in folders if _is_own(folder))[:MOST]


def _is_own(folder: Path) -> bool:
    """Whether the machine runs on it, and it is in its place."""
    is_battery = _word(folder / "type") in {"Battery", "UPS"}
    return is_battery and _word(folder / "scope") != "Device" and _word(folder / "present") != "0"


def _look(folder: Path) -> BatteryLook:
    levels = {each.value: each for each in BatteryLevel}
    goings = {each.value: each for each in BatteryGoing}
    return BatteryLook(
        folder.name,
        _percent(folder / "capacity"),
        _percent(folder / "capacity_error_margin"),
        levels.get(_word(folder / "capacity_level")),
        goings.get(_word(folder / "status")),
    )


def _word(path: Path) -> str:
    return (text_of(path, 64) or "").strip()


def _percent(path: Path) -> int | None:
    found = whole_number(text_of(path, 64))
    return found if found is not None and 0 <= found <= 100 else None
