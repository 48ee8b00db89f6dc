"""The kernel's framebuffer interface: what a node says of itself, and the memory behind it.

Structures, requests and constants are those of `include/uapi/linux/fb.h`, for 64-bit systems.
"""

import ctypes
import fcntl
import mmap
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeAlias

from firmware.errors import ScreenError

GET_VARIABLE = 0x4600
"""FBIOGET_VSCREENINFO"""
GET_FIXED = 0x4602
"""FBIOGET_FSCREENINFO"""
BLANK = 0x4611
"""FBIOBLANK"""
UNBLANK = 0
"""FB_BLANK_UNBLANK"""
PACKED_PIXELS = 0
"""FB_TYPE_PACKED_PIXELS"""
TRUE_COLOUR = 2
"""FB_VISUAL_TRUECOLOR"""

LENGTHS = {16: ((5, 6, 5), (5, 5, 5)), 24: ((8, 8, 8),), 32: ((8, 8, 8),)}
"""Bits of red, green and blue that are known, by bits of a pixel."""
MOST = 8192
"""Columns or rows beyond which what a driver says is not believed."""

Memory: TypeAlias = "mmap.mmap | bytearray"


class Bitfield(ctypes.Structure):
    """The kernel's struct fb_bitfield."""

    _fields_ = (
        ("offset", ctypes.c_uint32),
        ("length", ctypes.c_uint32),
        ("msb_right", ctypes.c_uint32),
    )


class Variable(ctypes.Structure):
    """The kernel's struct fb_var_screeninfo."""

    _fields_ = (
        ("xres", ctypes.c_uint32),
        ("yres", ctypes.c_uint32),
        ("xres_virtual", ctypes.c_uint32),
        ("yres_virtual", ctypes.c_uint32),
        ("xoffset", ctypes.c_uint32),
        ("yoffset", ctypes.c_uint32),
        ("bits_per_pixel", ctypes.c_uint32),
        ("grayscale", ctypes.c_uint32),
        ("red", Bitfield),
        ("green", Bitfield),
        ("blue", Bitfield),
        ("transp", Bitfield),
        ("nonstd", ctypes.c_uint32),
        ("activate", ctypes.c_uint32),
        ("height", ctypes.c_uint32),
        ("width", ctypes.c_uint32),
        ("accel_flags", ctypes.c_uint32),
        ("timings", ctypes.c_uint32 * 9),
        ("rotate", ctypes.c_uint32),
        ("colorspace", ctypes.c_uint32),
        ("reserved", ctypes.c_uint32 * 4),
    )


class Fixed(ctypes.Structure):
    """The kernel's struct fb_fix_screeninfo."""

    _fields_ = (
        ("id", ctypes.c_char * 16),
        ("smem_start", ctypes.c_ulong),
        ("smem_len", ctypes.c_uint32),
        ("type", ctypes.c_uint32),
        ("type_aux", ctypes.c_uint32),
        ("visual", ctypes.c_uint32),
        ("xpanstep", ctypes.c_uint16),
        ("ypanstep", ctypes.c_uint16),
        ("ywrapstep", ctypes.c_uint16),
        ("line_length", ctypes.c_uint32),
        ("mmio_start", ctypes.c_ulong),
        ("mmio_len", ctypes.c_uint32),
        ("accel", ctypes.c_uint32),
        ("capabilities", ctypes.c_uint16),
        ("reserved", ctypes.c_uint16 * 2),
    )


class Node(Protocol):
    """An open framebuffer. Every failure is an OSError with the kernel's errno."""

    def ask(self, request: int, answer: "ctypes.Structure | int") -> None:
        """Make a request; the answer is written into the structure."""
        ...

    def map(self, length: int) -> Memory:
        """So many bytes of its memory, shared with the driver."""
        ...

    def close(self) -> None:
        """Close the node; what was mapped stays mapped."""
        ...


class SystemNode:
    """A node of the machine's own kernel."""

    def __init__(self, path: Path) -> None:
        self._fd = os.open(path, os.O_RDWR | os.O_CLOEXEC)

    def ask(self, request: int, answer: ctypes.Structure | int) -> None:
        """Make a request; fcntl writes the answer into the structure it is handed."""
        fcntl.ioctl(self._fd, request, answer)

    def map(self, length: int) -> mmap.mmap:
        """Map its memory for reading and writing."""
        return mmap.mmap(self._fd, length, mmap.MAP_SHARED, mmap.PROT_READ | mmap.PROT_WRITE)

    def close(self) -> None:
        """Close the node."""
        os.close(self._fd)


@dataclass(frozen=True, slots=True)
class PixelPlan:
    """How a framebuffer keeps its pixels.

    Attributes
    ----------
    columns, rows:
        Of what is visible.
    bits:
        Of a pixel: 16, 24 or 32.
    masks:
        Bits of red, green, blue and, where there is one, of opacity.
    start, stride:
        Bytes from the start of the mapping to the first visible pixel; from one row to the next.
    length:
        Bytes to map.
    """

    columns: int
    rows: int
    bits: int
    masks: tuple[int, int, int, int]
    start: int
    stride: int
    length: int

    @property
    def row_bytes(self) -> int:
        """Bytes of a row that are seen."""
        return self.columns * self.bits // 8


def read_plan(node: Node, name: str) -> PixelPlan:
    """Ask a framebuffer how it keeps its pixels; `name` is for the messages.

    Raises
    ------
    OSError
        It does not answer.
    ScreenError
        It keeps them in a way that is not known, or says what cannot be.
    """
    variable, fixed = Variable(), Fixed()
    node.ask(GET_VARIABLE, variable)
    node.ask(GET_FIXED, fixed)
    return plan_of(variable, fixed, name)


def plan_of(variable: Variable, fixed: Fixed, name: str) -> PixelPlan:
    """How pixels are kept, from the kernel's two answers; raises as `read_plan`."""
    bits = int(variable.bits_per_pixel)
    fields = (variable.red, variable.green, variable.blue, variable.transp)
    plain = (
        (fixed.type, fixed.visual) == (PACKED_PIXELS, TRUE_COLOUR)
        and not variable.grayscale
        and not variable.nonstd
        and not any(field.msb_right for field in fields)
        and tuple(int(field.length) for field in fields[:3]) in LENGTHS.get(bits, ())
    )
    masks = tuple(_mask(field) for field in fields)
    if not plain or not _apart(masks, bits):
        lengths = "-".join(str(field.length) for field in fields[:3])
        raise ScreenError(
            f"{name} has pixels of {bits} bits ({lengths}, type {fixed.type}, visual "
            f"{fixed.visual}); 16, 24 or 32 bits of plain red, green and blue are needed: set them "
            "in the panel's boot line, or take another panel"
        )
    columns, rows, stride = int(variable.xres), int(variable.yres), int(fixed.line_length)
    # The mapping begins at the page that the memory begins in.
    inside = int(fixed.smem_start) % mmap.PAGESIZE
    first = int(variable.yoffset) * stride + int(variable.xoffset) * bits // 8
    wide = columns * bits // 8
    if (
        not (0 < columns <= MOST and 0 < rows <= MOST)
        or stride < wide
        or first + (rows - 1) * stride + wide > fixed.smem_len
    ):
        raise ScreenError(
            f"{name} says it has {columns}x{rows} pixels, {stride} bytes to a row, in "
            f"{fixed.smem_len} bytes, which cannot be; look at the kernel's log"
        )
    made = masks[0], masks[1], masks[2], masks[3]
    length = inside + int(fixed.smem_len)
    return PixelPlan(columns, rows, bits, made, inside + first, stride, length)


def _mask(field: Bitfield) -> int:
    length, offset = int(field.length), int(field.offset)
    return ((1 << length) - 1) << offset if length <= 32 and offset <= 32 else 1 << 64


def _apart(masks: tuple[int, ...], bits: int) -> bool:
    """Whether no two fields share a bit, and all lie inside the pixel."""
    together = 0
    for mask in masks:
        if together & mask or mask >> bits:
            return False
        together |= mask
    return True
