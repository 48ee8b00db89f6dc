"""The panel's own light, where the kernel offers it (sysfs-class-backlight).

Nothing under /sys is believed: numbers are read within bounds, and what was set is read back.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from overlays.wording.read_number import whole_in

FOLDER = Path("/sys/class/backlight")

LEAST_SHARE = 0.05
"""Of the brightest: darker, and whoever has turned it down finds no way back on a dark panel."""

STEPS = 20
"""From the least to the brightest: a press is to be seen (common practice, no source)."""

MOST = 1_000_000
"""Above what any driver counts its light in; a larger number is no light."""

UNKNOWN = "the panel's light cannot be set from here: set it on the panel itself"


@dataclass(frozen=True, slots=True)
class Backlight:
    """One panel's light: its folder, and the number of its brightest."""

    folder: Path
    most: int

    @property
    def now(self) -> int | None:
        """How it stands, 0 to `most`; None where that cannot be read."""
        found = _number(self.folder / "brightness")
        return found if found is not None and found <= self.most else None

    def moved(self, steps: int) -> str:
        """Brighter or darker by so many steps; says how it stands, or why it does not move."""
        now = self.now
        if now is None:
            return UNKNOWN
        least = max(round(self.most * LEAST_SHARE), 1)
        wanted = min(max(now + round(steps * max(self.most / STEPS, 1.0)), least), self.most)
        try:
            descriptor = os.open(self.folder / "brightness", os.O_WRONLY | os.O_CLOEXEC)
            try:
                os.write(descriptor, f"{wanted}\n".encode())
            finally:
                os.close(descriptor)
        except OSError as fault:
            why = (fault.strerror or str(fault)).lower()
            return f"the panel's light did not change ({why}): set it on the panel itself"
        if self.now != wanted:
            return "the panel did not take the light it was given: set it on the panel itself"
        return self.words

    @property
    def words(self) -> str:
        """How it stands."""
        now = self.now
        return UNKNOWN if now is None else f"panel light {100.0 * now / self.most:.0f} %"


def find_backlight(folder: Path = FOLDER) -> Backlight | None:
    """The first panel whose light the kernel offers, by name; None where there is none."""
    try:
        names = sorted(os.listdir(folder))[:16]  # noqa: PTH208 - a folder of the kernel's
    except OSError:
        return None
    for name in names:
        most = _number(folder / name / "max_brightness")
        if most is not None and most > 0:
            return Backlight(folder / name, most)
    return None


def panel_light(steps: int, folder: Path = FOLDER) -> str:
    """Move the first panel's light by so many steps, 0 for none; how it stands, or why not."""
    light = find_backlight(folder)
    if light is None:
        return UNKNOWN
    return light.moved(steps) if steps else light.words


def _number(path: Path) -> int | None:
    """A whole number of a small file, from 0 to `MOST`; None for whatever else is there."""
    try:
        with path.open("rb") as file:
            read = file.read(32)
    except OSError:
        return None
    text = read.decode("ascii", "replace").strip()
    found = whole_in(text)
    return found if found is not None and 0 <= found <= MOST else None
