"""What the kernel's files say of the board: which it is, how warm, and whether its supply holds."""

from dataclasses import dataclass
from pathlib import Path

from firmware.health.battery import BatteryLook, look_at_batteries
from firmware.health.kernel_files import text_of, whole_number
from firmware.health.mailbox import Ask, Throttle, is_refused, throttle

REASONABLE_C = (-60.0, 160.0)
"""Beyond these a sensor is broken or not a thermometer: silicon works between -40 and 125 °C."""

_PROCESSOR = ("cpu", "soc", "pkg")
"""Parts of the names of thermal zones of a processor, best first: "cpu-thermal" on every Pi."""


@dataclass(frozen=True, slots=True)
class BoardLook:
    """One look at the board; None where it does not say.

    Attributes
    ----------
    model:
        As the board names itself; empty on other machines.
    temperature_c:
        Of the processor.
    is_low_voltage:
        Whether the supply fell too low within the last two seconds.
    throttle:
        What the firmware says holds it back.
    is_refused:
        Whether the firmware is there to be asked, but not by this user.
    batteries:
        Those that it runs on and the kernel knows of.
    """

    model: str = ""
    temperature_c: float | None = None
    is_low_voltage: bool | None = None
    throttle: Throttle | None = None
    is_refused: bool = False
    batteries: tuple[BatteryLook, ...] = ()

    @property
    def is_pi(self) -> bool:
        """Whether the limits that are known here are its limits."""
        return "Raspberry Pi" in self.model


def look_at_board(root: Path = Path("/"), ask: Ask | None = None) -> BoardLook:
    """Look at everything."""
    return BoardLook(
        model=model(root),
        temperature_c=temperature_c(root),
        is_low_voltage=is_low_voltage(root),
        throttle=throttle(root, ask),
        is_refused=is_refused(root),
        batteries=look_at_batteries(root),
    )


def model(root: Path = Path("/")) -> str:
    """The board's name in its device tree, empty where there is none."""
    return (text_of(root / "proc/device-tree/model") or "").partition("\0")[0].strip()


def temperature_c(root: Path = Path("/")) -> float | None:
    """Of the processor, else of the first sensor that says anything."""
    found: list[tuple[int, float]] = []
    for zone in sorted((root / "sys/class/thermal").glob("thermal_zone*")):
        read = whole_number(text_of(zone / "temp"))
        if read is not None and REASONABLE_C[0] <= read / 1000.0 <= REASONABLE_C[1]:
            name = (text_of(zone / "type") or "").lower()
            ranks = [rank for rank, part in enumerate(_PROCESSOR) if part in name]
            found.append((min(ranks, default=len(_PROCESSOR)), read / 1000.0))
    return min(found, key=lambda each: each[0])[1] if found else None


def is_low_voltage(root: Path = Path("/")) -> bool | None:
    """Whether the supply fell too low since the kernel's look before, two seconds ago at the most.

    Source: raspberrypi/linux drivers/hwmon/raspberrypi-hwmon.c (1a91e6d5): the alarm is the
    firmware's own memory of a dip, asked for and cleared every 2 s, so it catches what a reader of
    the voltage would miss.
    """
    for folder in sorted((root / "sys/class/hwmon").glob("hwmon*")):
        if (text_of(folder / "name") or "").strip() == "rpi_volt":
            alarm = whole_number(text_of(folder / "in0_lcrit_alarm"))
            return None if alarm is None else alarm != 0
    return None
