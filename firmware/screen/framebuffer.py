"""A panel without a graphics processor, painted by writing into the memory of /dev/fbN.

Panels on SPI have no such processor, so SDL cannot draw there: it paints into memory, and what has
changed is written to the kernel's framebuffer. The drivers send whole rows over a slow bus, so a
row that is the same as before is not touched.
"""

import errno
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

# pygame greets on standard output at import unless told not to.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import numpy as np
import numpy.typing as npt
import pygame

from firmware.errors import ScreenError
from firmware.screen.fbdev import BLANK, UNBLANK, Memory, Node, PixelPlan, SystemNode, read_plan
from firmware.screen.glass import paintable

Bytes = npt.NDArray[np.uint8]
Size = tuple[int, int]

WITH_KEYS, WITHOUT_KEYS = "evdev", "dummy"
"""SDL's drivers that paint into memory: one reads the keyboards at /dev/input, one nothing."""

_REMEDIES = {
    errno.EACCES: "this user may not open it: sudo adduser $USER video, then log in again",
    errno.EPERM: "this user may not open it: sudo adduser $USER video, then log in again",
    errno.ENOENT: "look at /dev/fb* and at the panel's boot line",
    errno.ENXIO: "its driver is gone; look at the kernel's log",
    errno.ENODEV: "its driver is gone; look at the kernel's log",
}


class Packer:
    """Packs a canvas as a framebuffer keeps it, and writes the rows that have changed.

    Parameters
    ----------
    plan:
        How the framebuffer keeps its pixels.
    memory:
        What is mapped of it.
    size:
        (columns, rows) of the canvas, at most the framebuffer's; it stands in the middle.
    """

    def __init__(self, plan: PixelPlan, memory: Memory, size: Size) -> None:
        columns, rows = size
        pixel = plan.bits // 8
        left, top = (plan.columns - columns) // 2, (plan.rows - rows) // 2
        whole = np.frombuffer(memory, np.uint8)
        stride = plan.stride
        seen = _rows(whole, plan.start, plan.rows, stride, plan.row_bytes)
        if size != (plan.columns, plan.rows):
            seen[:] = 0
        start = plan.start + top * stride + left * pixel
        self._memory: Bytes | None = _rows(whole, start, rows, stride, columns * pixel)
        opaque = pygame.SRCALPHA if plan.masks[3] else 0
        self._packed = pygame.Surface(size, opaque, plan.bits, plan.masks)
        self._written: Bytes | None = None

    def write(self, canvas: pygame.Surface) -> int:
        """Write what has changed since the last time; how many rows that were.

        Colours lose their low bits, as in SDL's own conversion.
        """
        if self._memory is None:
            return 0
        self._packed.blit(canvas, (0, 0))
        pitch, rows = self._packed.get_pitch(), self._packed.get_height()
        # A view keeps the surface locked, and goes with this call.
        flat = np.asarray(self._packed.get_buffer(), np.uint8)
        now = _rows(flat, 0, rows, pitch, self._memory.shape[1])
        if self._written is None:
            self._written = now.copy()
            changed = np.ones(rows, bool)
        else:
            changed = (now != self._written).any(axis=1)
            self._written[changed] = now[changed]
        self._memory[changed] = now[changed]
        return int(changed.sum())

    def let_go(self) -> None:
        """Forget the memory, which may then be unmapped."""
        self._memory = None


def _rows(flat: Bytes, start: int, rows: int, stride: int, wide: int) -> Bytes:
    """Rows of so many bytes, a stride apart, of flat memory."""
    end = start + (rows - 1) * stride + wide
    return np.lib.stride_tricks.as_strided(flat[start:end], (rows, wide), (stride, 1))


class Framebuffer:
    """A panel at /dev/fbN, with the keyboards and touch screens at /dev/input.

    Parameters
    ----------
    path:
        The node.
    size:
        (columns, rows) to paint; None takes the panel's own.
    largest:
        More is not painted: the picture then stands in the middle of the panel.
    opening:
        Opens the node; a test hands in another.

    Raises
    ------
    ScreenError
        The node cannot be opened, its pixels are of an unknown kind, or it is too small.
    """

    def __init__(
        self,
        path: Path,
        size: Size | None,
        largest: Size,
        opening: Callable[[Path], Node] = SystemNode,
    ) -> None:
        plan, self._memory = _opened(path, opening)
        if size is not None and (size[0] > plan.columns or size[1] > plan.rows):
            raise ScreenError(
                f"--size {size[0]}x{size[1]}: {path} has {plan.columns}x{plan.rows} pixels; take "
                "that, or less"
            )
        wanted = size or (min(plan.columns, largest[0]), min(plan.rows, largest[1]))
        self._packer = Packer(plan, self._memory, wanted)
        self._surface = _surface(wanted)

    @property
    def size(self) -> Size:
        """(columns, rows)."""
        return self._surface.get_size()

    @property
    def sheet(self) -> pygame.Surface | None:
        """The surface in memory that SDL paints into."""
        return self._surface if paintable(self._surface) else None

    def show(self, canvas: pygame.Surface) -> None:
        """Write the rows that have changed; the driver sends them in its own time."""
        self._packer.write(canvas)

    def under(self, at: Size) -> Size:
        """The same place."""
        return at

    def close(self) -> None:
        """Let go of memory and keyboards; the last picture stays on the panel."""
        self._packer.let_go()
        if not isinstance(self._memory, bytearray):
            self._memory.close()
        pygame.display.quit()


def _opened(path: Path, opening: Callable[[Path], Node]) -> tuple[PixelPlan, Memory]:
    """How a node keeps its pixels, and its memory."""
    try:
        node = opening(path)
        try:
            plan = read_plan(node, str(path))
            with suppress(OSError):
                node.ask(BLANK, UNBLANK)  # many drivers know no other state than lit
            return plan, node.map(plan.length)
        finally:
            node.close()
    except OSError as fault:
        remedy = _REMEDIES.get(fault.errno or 0, "is it a framebuffer? look at /sys/class/graphics")
        raise ScreenError(f"{path} cannot be drawn on ({fault.strerror}); {remedy}") from fault


def _surface(size: Size) -> pygame.Surface:
    """A surface in memory, with keyboards where this SDL can read them without a screen."""
    fault: pygame.error | None = None
    for driver in (WITH_KEYS, WITHOUT_KEYS):
        # SDL knows no other way to be told than the environment.
        os.environ["SDL_VIDEODRIVER"] = driver
        try:
            pygame.display.init()
            return pygame.display.set_mode(size, 0, 32)
        except pygame.error as refused:
            pygame.display.quit()
            fault = refused
    raise ScreenError(f"SDL cannot paint into memory ({fault}); install python3-pygame from apt")
