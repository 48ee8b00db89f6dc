"""Which capture device it is, the same after every restart and re-plugging.

A stick is known by its USB ids and its serial number, or where it has none by the port it is in; a
bridge by its driver and the port of the board. Numbers of nodes and of buses change from start to
start (facts of the kernel: `/sys/bus/usb/devices/*/{idVendor,idProduct,serial}`, and `bus_info` of
VIDIOC_QUERYCAP).
"""

import os
from pathlib import Path

_MOST_UP = 6
"""Folders from a video node's device up to its USB device: interface, device, and some to spare."""


def identity_of(path: str, driver: str, bus: str, root: Path = Path("/")) -> str:
    """A capture device in words that stay the same.

    Parameters
    ----------
    path:
        Of the node, as ``/dev/video0``.
    driver, bus:
        As the kernel names them.
    root:
        The file system to look in.
    """
    usb = usb_identity(Path(os.path.realpath(path)).name, root)
    if usb is None:
        return f"{driver} at {bus}" if bus else driver
    return usb if " serial " in usb else f"{usb} at {bus}"


def usb_identity(node: str, root: Path = Path("/")) -> str | None:
    """USB ids and serial of a video node; None where it is no USB device.

    Parameters
    ----------
    node:
        As ``video0``.
    root:
        The file system to look in.
    """
    folder = root / "sys/class/video4linux" / node / "device"
    try:
        here = folder.resolve(strict=True)
    except OSError:
        return None
    for _ in range(_MOST_UP):
        maker, product = _word(here / "idVendor"), _word(here / "idProduct")
        if maker and product:
            serial = _word(here / "serial")
            return f"usb {maker}:{product}" + (f" serial {serial}" if serial else "")
        here = here.parent
    return None


def _word(path: Path) -> str:
    try:
        return " ".join(path.read_text(errors="replace").split())
    except OSError:
        return ""
