"""What a digital video receiver says of its cable: timings, or why there are none."""

import errno
from dataclasses import dataclass
from enum import Enum

from firmware.v4l2 import ioctls, structs
from firmware.v4l2.bounds import rate_of
from firmware.v4l2.kernel import Kernel

CAN_REDUCE_RATE = 1 << 1
"""V4L2_DV_FL_CAN_REDUCE_FPS: the same timings are also used at 1000/1001 of their rate."""


class Cabling(Enum):
    """State of the cable."""

    LOCKED = "signal"
    NO_POWER = "nothing plugged in"
    NO_SIGNAL = "no signal"
    NO_SYNC = "signal without sync"
    UNSUPPORTED = "signal in a format this input cannot take"
    ANALOGUE = "no timings to ask for"
    """The node is no digital video receiver (a USB stick keeps its timings to itself)."""


_FAULTS = {
    errno.ENOLINK: Cabling.NO_SIGNAL,
    errno.ENOLCK: Cabling.NO_SYNC,
    errno.ERANGE: Cabling.UNSUPPORTED,
    errno.ENOTTY: Cabling.ANALOGUE,
    errno.ENODATA: Cabling.ANALOGUE,
    errno.EINVAL: Cabling.ANALOGUE,
}


@dataclass(frozen=True, slots=True)
class Timings:
    """One video timing, as the receiver measured it.

    Attributes
    ----------
    columns, rows:
        Active picture, in pixels; rows of a whole frame where interlaced.
    interlaced:
        Whether a frame comes as two fields.
    rate:
        Frames (not fields) a second, from pixel clock and total size; 0.0 if the clock is unknown.
    """

    columns: int
    rows: int
    interlaced: bool
    rate: float

    def __str__(self) -> str:
        scan = "i" if self.interlaced else "p"
        pace = f", {self.rate:.5g} frames a second" if self.rate else ""
        return f"{self.columns}x{self.rows}{scan}{pace}"


def from_struct(raw: structs.DvTimings) -> Timings:
    """The kernel's timings in our terms.

    Total size as V4L2_DV_BT_FRAME_WIDTH and _HEIGHT of videodev2.h; an interlaced pixel clock
    counts both fields of a frame, whose blanking is given for each.
    """
    bt = raw.u.bt
    total_columns = bt.width + bt.hfrontporch + bt.hsync + bt.hbackporch
    total_rows = bt.height + bt.vfrontporch + bt.vsync + bt.vbackporch
    if bt.interlaced:
        total_rows += bt.il_vfrontporch + bt.il_vsync + bt.il_vbackporch
    total = total_columns * total_rows
    rate = rate_of(bt.pixelclock, total)
    return Timings(int(bt.width), int(bt.height), bool(bt.interlaced), rate)


def query(kernel: Kernel, fd: int) -> tuple[Cabling, structs.DvTimings | None]:
    """State of the cable, and the timings found (also those that are not supported).

    Meaning of the errors: kernel documentation of VIDIOC_QUERY_DV_TIMINGS: ENOLINK no signal,
    ENOLCK no stable sync, ERANGE out of range (then the timings are filled in all the same).
    `DV_RX_POWER_PRESENT` parts "nothing plugged in" from a source that sends nothing, where the
    driver has it.

    Raises
    ------
    OSError
        Any other failure; ENODEV where the device is gone.
    """
    raw = structs.DvTimings()
    try:
        kernel.ioctl(fd, ioctls.QUERY_DV_TIMINGS, raw)
    except OSError as fault:
        link = _FAULTS.get(fault.errno or 0)
        if link is None:
            raise
        if link is Cabling.NO_SIGNAL and ioctls.control(kernel, fd, ioctls.POWER_PRESENT) == 0:
            return Cabling.NO_POWER, None
        known = link is Cabling.UNSUPPORTED and bool(raw.u.bt.width)
        return link, raw if known else None
    return Cabling.LOCKED, raw
