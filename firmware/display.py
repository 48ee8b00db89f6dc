"""Whether there is a display that shows anything, before a library is asked to open it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path


class Driver(Enum):
    """The video driver of SDL that would draw; the values are SDL's own names."""

    WAYLAND = "wayland"
    X11 = "x11"
    KMS = "kmsdrm"
    NONE = "none"


UNSEEN = frozenset({"dummy", "offscreen", "evdev"})
"""SDL drivers that draw into memory only."""


@dataclass(frozen=True, slots=True)
class Display:
    """What was found.

    Attributes
    ----------
    driver:
        What would be used; NONE where nothing would be seen.
    reason:
        One phrase for a person: what it is, or what is missing.
    """

    driver: Driver
    reason: str

    @property
    def shows(self) -> bool:
        """Whether anybody would see a picture."""
        return self.driver is not Driver.NONE


def connected(root: Path = Path("/")) -> list[str]:
    """Names of the connectors with a screen plugged in, as the kernel gives them (HDMI-A-1)."""
    found = []
    for status in sorted((root / "sys/class/drm").glob("card*-*/status")):
        try:
            text = status.read_text().strip()
        except OSError:
            continue
        if text == "connected":
            found.append(status.parent.name.split("-", 1)[1])
    return found


def card_with_screen(root: Path = Path("/")) -> int | None:
    """Number of the first graphics card with a screen plugged in; None where there is none.

    A Raspberry Pi 5 has several, and their order is not the same at every boot (SDL issue 13705).
    """
    for status in sorted((root / "sys/class/drm").glob("card*-*/status")):
        number = status.parent.name.split("-", 1)[0].removeprefix("card")
        try:
            if status.read_text().strip() == "connected" and number.isdigit():
                return int(number)
        except OSError:
            continue
    return None


def find_display(environ: Mapping[str, str], root: Path = Path("/")) -> Display:
    """The display of a session, or a connected screen without one.

    `environ` is the process's environment, `root` the file system to look in.
    """
    wanted = environ.get("SDL_VIDEODRIVER", "").split(",")[0].strip()
    if wanted in UNSEEN:
        return Display(Driver.NONE, f"SDL_VIDEODRIVER={wanted} shows nothing")
    if environ.get("WAYLAND_DISPLAY") and wanted in {"", Driver.WAYLAND.value}:
        return Display(Driver.WAYLAND, f"Wayland session {environ['WAYLAND_DISPLAY']}")
    if environ.get("DISPLAY") and wanted in {"", Driver.X11.value}:
        return Display(Driver.X11, f"X session {environ['DISPLAY']}")
    screens = connected(root)
    if screens and wanted in {"", Driver.KMS.value}:
        return Display(Driver.KMS, f"screen at {', '.join(screens)}")
    if wanted:
        return Display(Driver.NONE, f"SDL_VIDEODRIVER={wanted} has nothing to draw on")
    return Display(Driver.NONE, "no desktop session and no screen connected")
