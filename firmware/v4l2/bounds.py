"""What a driver's answer can be at most. What lies beyond is nonsense and nothing is made of it.

A driver is a program with mistakes, some sticks' answers are made up by their own firmware, and a
size that is believed is memory that is asked for.
"""

import errno

from firmware.v4l2 import structs
from firmware.v4l2.formats import PixelLayout

MOST_COLUMNS, MOST_ROWS = 4096, 2304
"""Largest picture: what the largest sticks send; no board this runs on takes more in."""

MOST_BUFFERS = 32
"""VIDEO_MAX_FRAME of the kernel's videodev2.h."""

MOST_BYTES = 256 << 20
"""Of all capture buffers together: five of the largest pictures, twice over."""

FASTEST = 500.0
"""Frames a second; HDMI itself ends at 240 (CTA-861-I's list of formats), sticks below."""

NUMBERED_ANEW = 1000
"""A gap in a driver's numbers as wide is no gap: at 60 frames a second, a quarter of a minute."""

_OLDEST_NS, _AHEAD_NS = 10_000_000_000, 100_000_000
"""Of a stamp: no buffer waits so long, and a stick's clock may run ahead by so much."""
_PAGE = 4096
_ROOM = 1 << 20
"""Behind the picture: what drivers add for headers and the end of a row."""


def nonsense(what: str) -> OSError:
    """An answer that cannot be; handled as any other failure of the driver."""
    return OSError(errno.EPROTO, f"the driver answers nonsense: {what}")


def check_picture(pix: structs.PixFormat, layout: PixelLayout) -> None:
    """A format as the driver set it.

    Raises
    ------
    OSError
        EPROTO: a size or a stride that no picture has.
    """
    columns, rows, stride = int(pix.width), int(pix.height), int(pix.bytesperline)
    if not (2 <= columns <= MOST_COLUMNS and 2 <= rows <= MOST_ROWS):
        raise nonsense(f"a picture of {columns}x{rows} pixels")
    least = layout.least_stride(columns)
    if stride and not layout.compressed and not least <= stride <= 2 * least + _PAGE:
        raise nonsense(f"{stride} bytes to a row of {columns} pixels")


def check_buffer(length: int, least_bytes: int, most_bytes: int) -> None:
    """The size of a capture buffer.

    Raises
    ------
    OSError
        EPROTO: it cannot hold a picture, or is no picture's.
    """
    if not least_bytes <= length <= most_bytes + _ROOM:
        raise nonsense(f"a buffer of {length} bytes for pictures of {least_bytes}")


def most_bytes(layout: PixelLayout, columns: int, rows: int, stride: int) -> int:
    """The most that a buffer of a format needs; of a compressed picture, four bytes to a pixel."""
    if layout.compressed:
        return 4 * columns * rows
    return 2 * round((stride or layout.least_stride(columns)) * rows * layout.height)


def believed_ns(stamp_ns: int | None, now_ns: int) -> int:
    """When a picture was taken by its driver's stamp; now, where that is none or cannot be."""
    if stamp_ns is None or not now_ns - _OLDEST_NS <= stamp_ns <= now_ns + _AHEAD_NS:
        return now_ns
    return stamp_ns


def rate_of(frames: float, seconds: float) -> float:
    """Frames a second; 0.0 where that is none that can be."""
    rate = frames / seconds if seconds > 0 else 0.0
    return rate if 0.0 < rate <= FASTEST else 0.0
