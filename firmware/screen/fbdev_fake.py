"""A framebuffer made of a file and two answers: the kernel's own structures, without a panel."""

import ctypes
import errno
import mmap
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

from firmware.screen.fbdev import (
    BLANK,
    GET_FIXED,
    GET_VARIABLE,
    TRUE_COLOUR,
    Bitfield,
    Fixed,
    Variable,
)

Fields: TypeAlias = tuple[tuple[int, int], tuple[int, int], tuple[int, int], tuple[int, int]]
"""(offset, length) of red, green, blue and opacity."""

RGB565: Fields = ((11, 5), (5, 6), (0, 5), (0, 0))
XRGB8888: Fields = ((16, 8), (8, 8), (0, 8), (0, 0))
UNTOUCHED = 0xEE
"""What its memory holds before anything is written."""


@dataclass(frozen=True)
class FakePanel:
    """What a framebuffer says of itself.

    Attributes
    ----------
    columns, rows, bits, fields:
        Of its pixels.
    padding:
        Bytes between one row and the next.
    offset:
        Columns and rows panned over.
    blanks:
        Whether it can be blanked, which many cannot.
    """

    columns: int = 480
    rows: int = 320
    bits: int = 16
    fields: Fields = RGB565
    padding: int = 0
    offset: tuple[int, int] = (0, 0)
    blanks: bool = False
    asked: list[int] = field(default_factory=list)

    def answers(self) -> tuple[Variable, Fixed]:
        """Those of the kernel."""
        variable = Variable(
            xres=self.columns,
            yres=self.rows,
            xoffset=self.offset[0],
            yoffset=self.offset[1],
            bits_per_pixel=self.bits,
        )
        for name, (first, length) in zip(
            ("red", "green", "blue", "transp"), self.fields, strict=True
        ):
            setattr(variable, name, Bitfield(first, length, 0))
        stride = (self.columns + self.offset[0]) * self.bits // 8 + self.padding
        length = stride * (self.rows + self.offset[1])
        fixed = Fixed(id=b"fake", smem_len=length, line_length=stride, visual=TRUE_COLOUR)
        return variable, fixed

    def opening(self) -> "Callable[[Path], FakeNode]":
        """Opens its node; the memory is a file, made where there is none."""
        return lambda path: FakeNode(self, path)


class FakeNode:
    """An open one, with the contract of `firmware.screen.fbdev.Node`."""

    def __init__(self, panel: FakePanel, path: Path) -> None:
        self._panel = panel
        self._variable, self._fixed = panel.answers()
        if not path.exists():
            path.write_bytes(bytes([UNTOUCHED]) * int(self._fixed.smem_len))
        self._fd = os.open(path, os.O_RDWR | os.O_CLOEXEC)

    def ask(self, request: int, answer: ctypes.Structure | int) -> None:
        """Answer as the kernel does."""
        self._panel.asked.append(request)
        if request == GET_VARIABLE and isinstance(answer, Variable):
            ctypes.pointer(answer)[0] = self._variable
        elif request == GET_FIXED and isinstance(answer, Fixed):
            ctypes.pointer(answer)[0] = self._fixed
        elif request != BLANK or not self._panel.blanks:
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))

    def map(self, length: int) -> mmap.mmap:
        """The file's bytes, shared."""
        return mmap.mmap(self._fd, length, mmap.MAP_SHARED, mmap.PROT_READ | mmap.PROT_WRITE)

    def close(self) -> None:
        """Close the file."""
        os.close(self._fd)
