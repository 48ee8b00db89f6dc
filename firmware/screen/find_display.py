"""Whether there is a display that shows anything, before a library is asked to open it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from overlays.wording.read_number import whole_in

DRM = "sys/class/drm"
"""The kernel's connectors, each with `status` and `edid` (Linux, drivers/gpu/drm/drm_sysfs.c)."""


class Driver(Enum):
    """What would draw; the values of the first three are SDL's own names."""

    WAYLAND = "wayland"
    X11 = "x11"
    KMS = "kmsdrm"
    FRAMEBUFFER = "framebuffer"
    """SDL paints into memory, and midgrey writes that to the kernel's framebuffer."""
    NONE = "none"


FORCED = "MIDGREY_FRAMEBUFFER"
"""Variable of the environment that names the framebuffer to draw on, as /dev/fb1."""

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
    node:
        The framebuffer's node, where that is what is drawn on.
    """

    driver: Driver
    reason: str
    node: Path | None = None

    @property
    def shows(self) -> bool:
        """Whether anybody would see a picture."""
        return self.driver is not Driver.NONE


def connected(root: Path = Path("/")) -> list[str]:
    """Names of the connectors with a screen that SDL can draw on, as the kernel gives them.

    (HDMI-A-1.) A panel on SPI always says it is connected, but its card cannot draw.
    """
    return [name for _, name in _connectors(root)]


def card_with_screen(root: Path = Path("/")) -> int | None:
    """Number of the first graphics card with such a screen; None where there is none.

    A Raspberry Pi 5 has several, and their order is not the same at every boot (SDL issue 13705).
    """
    return next((card for card, _ in _connectors(root)), None)


def edids(root: Path = Path("/")) -> list[Path]:
    """Where the kernel keeps what each of these screens says of itself."""
    return [root / DRM / f"card{card}-{name}/edid" for card, name in _connectors(root)]


def _connectors(root: Path) -> Iterator[tuple[int, str]]:
    """(card, name) of each connected one."""
    for status in sorted((root / DRM).glob("card*-*/status")):
        card, name = status.parent.name.split("-", 1)
        number = whole_in(card.removeprefix("card"))
        # DRM_MODE_CONNECTOR_SPI, that of every panel of drm_mipi_dbi.
        if _said(status) == "connected" and number is not None and not name.startswith("SPI-"):
            yield number, name


def panel_on_spi(root: Path = Path("/")) -> tuple[str, str] | None:
    """(name of the framebuffer, what its driver calls it) of the first panel on SPI, or None.

    Both kinds of driver are known by the bus: those of the kernel's graphics (panel-mipi-dbi and
    its like) and fbtft, whose names begin with "fb_" on any bus.
    """
    for folder in sorted((root / "sys/class/graphics").glob("fb[0-9]*")):
        called = _said(folder / "name")
        bus = (folder / "device" / "subsystem").resolve().name
        if bus == "spi" or called.startswith("fb_"):
            return folder.name, called or "panel"
    return None


def _said(path: Path) -> str:
    try:
        return path.read_text(errors="replace").strip()
    except OSError:
        return ""


def find_display(environ: Mapping[str, str], root: Path = Path("/")) -> Display:
    """The display of a session, a connected screen without one, or else a panel on SPI.

    `environ` is the process's environment, `root` the file system to look in.
    """
    forced = environ.get(FORCED, "").strip()
    if forced:
        return _forced(forced, root)
    wanted = environ.get("SDL_VIDEODRIVER", "").split(",")[0].strip()
    if wanted in UNSEEN:
        return Display(Driver.NONE, f"SDL_VIDEODRIVER={wanted} shows nothing")
    found = _of_session(environ, wanted)
    if found is None and wanted in {"", Driver.KMS.value}:
        found = _bare(root)
    if found is not None:
        return found
    if wanted:
        return Display(Driver.NONE, f"SDL_VIDEODRIVER={wanted} has nothing to draw on")
    return Display(Driver.NONE, "no desktop session and no screen connected")


def _of_session(environ: Mapping[str, str], wanted: str) -> Display | None:
    if environ.get("WAYLAND_DISPLAY") and wanted in {"", Driver.WAYLAND.value}:
        return Display(Driver.WAYLAND, f"Wayland session {environ['WAYLAND_DISPLAY']}")
    if environ.get("DISPLAY") and wanted in {"", Driver.X11.value}:
        return Display(Driver.X11, f"X session {environ['DISPLAY']}")
    return None


def _bare(root: Path) -> Display | None:
    """What there is to draw on without a session."""
    screens = connected(root)
    if screens:
        return Display(Driver.KMS, f"screen at {', '.join(screens)}")
    panel = panel_on_spi(root)
    if panel is None:
        return None
    node = Path("/dev") / panel[0]
    return Display(Driver.FRAMEBUFFER, f"panel {panel[1]} at {node}", node)


def _forced(node: str, root: Path) -> Display:
    """A framebuffer by the name of its node, whatever it belongs to."""
    path = Path(node)
    if path.parent != Path("/dev"):
        return Display(Driver.NONE, f"{FORCED}={node} names no framebuffer; write /dev/fb0 or so")
    called = _said(root / "sys/class/graphics" / path.name / "name")
    if not called:
        return Display(Driver.NONE, f"{FORCED}={node}, but there is no such framebuffer")
    return Display(Driver.FRAMEBUFFER, f"{called} at {node}, as {FORCED} says", path)
