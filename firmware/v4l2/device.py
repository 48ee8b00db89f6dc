"""One opened capture node, with the receiver whose cable it listens to."""

import contextlib
import errno
import os
from dataclasses import dataclass

from firmware.v4l2 import ioctls, media, structs, timings
from firmware.v4l2.formats import LAYOUTS
from firmware.v4l2.kernel import Kernel

FIELD_NONE = 1
FIELD_ANY_WHOLE = frozenset({0, 1, 4, 8, 9})
"""V4L2_FIELD_ANY, NONE, INTERLACED, INTERLACED_TB and _BT: a buffer holds a whole frame."""
SMOOTH_RATE = 23.9
"""Frames a second from which an uncompressed format is preferred to a compressed one."""
LARGEST = (1920, 1200)
LEAST = 16
"""Edge of the smallest picture that a driver may list: a block of every codec."""
LEAVES_WAY_TO_US = frozenset({"rp1-cfe"})
"""Drivers that want the media graph set up by the user of the node."""


@dataclass(frozen=True, slots=True)
class Capture:
    """A capture device, and what the user asks of it; None leaves it to us.

    Attributes
    ----------
    path:
        The capture node (``/dev/video0``); a name under ``/dev/v4l/by-id`` survives re-plugging.
    receiver:
        The bridge's own subdevice, where the media graph has one (Pi 5).
    edid:
        Shown to the source if the receiver has none; None leaves the receiver alone.
    pixel_format:
        The kernel's four letters.
    columns, rows:
        Size, where the device can choose; an HDMI receiver takes what comes.
    """

    path: str
    receiver: str | None = None
    edid: bytes | None = None
    pixel_format: str | None = None
    columns: int | None = None
    rows: int | None = None


@dataclass(slots=True)
class Device:
    """A capture node.

    Attributes
    ----------
    fd:
        Descriptor of the node the frames come from.
    receiver_fd:
        Descriptor that answers for timings, EDID and source changes: the same, or that of the
        bridge's own subdevice where the media graph has one (Pi 5).
    driver, card:
        As the kernel names them.
    formats:
        Measurable pixel formats, the most telling first.
    tells_changes:
        Whether source-change events come.
    way:
        What has to be set up between bridge and node, where the kernel leaves it to us.
    bus:
        Where it is plugged in or soldered on, as the kernel names it.
    """

    kernel: Kernel
    path: str
    fd: int
    receiver_fd: int
    driver: str
    card: str
    formats: tuple[str, ...]
    tells_changes: bool
    way: media.Way | None = None
    bus: str = ""

    def close(self) -> None:
        """Close the node and the receiver, whatever the driver says to either."""
        for fd in {self.fd, self.receiver_fd}:
            with contextlib.suppress(OSError):  # the descriptor is let go of all the same: close(2)
                self.kernel.close(fd)

    def link(self) -> tuple[timings.Cabling, structs.DvTimings | None]:
        """State of the cable, and its timings."""
        return timings.query(self.kernel, self.receiver_fd)

    def follow(self, found: structs.DvTimings) -> None:
        """Receive these timings from now on."""
        ioctls.set_timings(self.kernel, self.receiver_fd, found)

    def choose(self, wish: Capture) -> tuple[str, int, int]:
        """(pixel format, columns, rows) to ask for; 0 for a size that the timings give.

        An uncompressed format is taken if it comes at a smooth rate in the size wanted; a USB 2
        stick offers 1080 rows uncompressed at 5 frames a second only, and is then read compressed.
        """
        names = (wish.pixel_format,) if wish.pixel_format else self.formats
        best: tuple[str, int, int] | None = None
        for name in names:
            columns, rows = self._size(name, wish)
            rate = ioctls.best_rate(self.kernel, self.fd, name, columns, rows) if columns else 0.0
            if not rate or rate >= SMOOTH_RATE:
                return name, columns, rows
            best = best or (name, columns, rows)
        return best or (names[0], 0, 0)

    def _size(self, name: str, wish: Capture) -> tuple[int, int]:
        if wish.columns and wish.rows:
            return wish.columns, wish.rows
        fitting = [
            size
            for size in ioctls.sizes(self.kernel, self.fd, name)
            if LEAST <= size[0] <= LARGEST[0] and LEAST <= size[1] <= LARGEST[1]
        ]
        return max(fitting, key=lambda size: size[0] * size[1], default=(0, 0))

    def set_format(self, name: str, columns: int, rows: int) -> structs.PixFormat:
        """Ask for a format; 0 keeps the present size. What the driver made of it is returned."""
        if self.way is not None and columns and rows:
            media.set_pads(self.kernel, self.way, columns, rows)
        pix = ioctls.get_format(self.kernel, self.fd)
        pix.pixelformat = ioctls.fourcc(name)
        pix.field = FIELD_NONE
        # Both are the driver's to say for the new format.
        pix.bytesperline = pix.sizeimage = 0
        if columns and rows:
            pix.width, pix.height = columns, rows
        return ioctls.set_format(self.kernel, self.fd, pix)

    def wait(self, timeout_s: float, *, for_frames: bool) -> tuple[bool, bool]:
        """Wait for (a frame, an event), at most so long."""
        frames = [self.fd] if for_frames else []
        events = [self.receiver_fd] if self.tells_changes else []
        ready, told = self.kernel.select(frames, events, timeout_s)
        return bool(ready), bool(told)

    def changed(self) -> bool:
        """Take the events that wait; whether the source has changed."""
        return ioctls.drain_events(self.kernel, self.receiver_fd) > 0


def measurable(offered: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the formats that we can measure, the most telling first."""
    return tuple(name for name in LAYOUTS if name in offered)


def open_device(kernel: Kernel, capture: Capture) -> Device:
    """Open a capture node and its receiver.

    Raises
    ------
    OSError
        As the kernel says; ENOTTY where the node is no capture node.
    """
    fds = [kernel.open(capture.path)]
    try:
        about = _about(kernel, fds[0])
        way = _way(kernel, capture, about)
        receiver = capture.receiver or (way.receiver if way else None)
        if receiver:
            fds.append(kernel.open(receiver))
        return Device(
            kernel=kernel,
            path=capture.path,
            fd=fds[0],
            receiver_fd=fds[-1],
            driver=about.driver.decode("ascii", "replace"),
            card=about.card.decode("utf-8", "replace"),
            # The pads along a way are set for one format.
            formats=("UYVY",) if way else measurable(ioctls.offered_formats(kernel, fds[0])),
            tells_changes=ioctls.subscribe_source_change(kernel, fds[-1]),
            way=way,
            bus=about.bus_info.decode("ascii", "replace"),
        )
    except OSError:
        for fd in fds:
            with contextlib.suppress(OSError):
                kernel.close(fd)
        raise


def _about(kernel: Kernel, fd: int) -> structs.Capability:
    about = ioctls.query_capability(kernel, fd)
    if not ioctls.can_capture(about):
        raise OSError(errno.ENOTTY, "not a capture node")
    return about


def _way(kernel: Kernel, capture: Capture, about: structs.Capability) -> media.Way | None:
    """The way from a bridge to this node, its links switched on, where there is one to set up."""
    if about.driver.decode("ascii", "replace") not in LEAVES_WAY_TO_US:
        return None
    way = media.find_way(kernel, os.path.realpath(capture.path))
    if way is not None:
        media.open_way(kernel, way)
    return way


def show_edid(device: Device, edid: bytes) -> bool:
    """Give the receiver an EDID if it has none; whether it was needed.

    A receiver without one keeps its hot-plug line low, and the source sends nothing. The EDID lives
    in the receiver's memory and is gone at every power-up.
    """
    if ioctls.edid_blocks(device.kernel, device.receiver_fd) != 0:
        return False
    ioctls.set_edid(device.kernel, device.receiver_fd, edid)
    return True
