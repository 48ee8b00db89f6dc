"""Where the picture is sharp: its edges lit, all else half as bright. For eyes only.

An edge is where a pixel of the screen's picture stands out from the mean of its neighbours at both
sides: a blurred one, however high, does so nowhere. Magnified, a pixel of the screen is one of the
camera's or less.
"""

from functools import cache

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.layout.theme import AMBER, pixel_of
from overlays.draw.picture.narrow import add, larger, subtract

Pixels = npt.NDArray[np.uint32]
Row = npt.NDArray[np.int16]
"""Luma of 0..255: twice it less two neighbours fits into 16 bits, twice as many to a register."""

LEAST = 24
"""Of 255: what twice a pixel's luma differs by from the sum of its neighbours where it is an edge.
Noise of 2.4 codes of 8 bits does so in one of some 10 000 pixels: the weights -1, 2, -1 make 5.9 of
it, which is a quarter of that."""

INK = pixel_of(AMBER)


@nb.njit(cache=True, nogil=True, forceinline=True)
def _luma(pixels: Pixels, out: Row) -> None:
    """A quarter of red and of blue, half of green: near enough for edges, and no table.

    `out` has a sample more at either end, which repeat the first and the last.
    """
    last = pixels.size
    for x in range(last):
        pixel = pixels[x]
        both = (pixel >> np.uint32(16) & np.uint32(255)) + (pixel & np.uint32(255))
        out[x + 1] = np.int16((both + (pixel >> np.uint32(7) & np.uint32(510))) >> np.uint32(2))
    out[0], out[last + 1] = out[1], out[last]


@nb.njit(cache=True, nogil=True)
def _light(
    flat: Pixels, shape: tuple[int, int, int], rows: tuple[Row, Row, Row], ink: int, least: int
) -> None:
    """Row by row in place: what a row was is kept until the one below it is done."""
    height, width, pitch = shape
    above, here, below = rows
    colour, limit, zero = np.uint32(ink), np.int16(least), np.int16(0)
    _luma(flat[:width], here)
    for x in range(above.size):  # not `above[:] = here`: two seconds more to compile, for words
        above[x] = here[x]  # of an error that never comes
    for y in range(height):
        if y + 1 < height:
            start = (y + 1) * pitch
            _luma(flat[start : start + width], below)
        else:
            for x in range(below.size):
                below[x] = here[x]
        line = flat[y * pitch : y * pitch + width]
        for x in range(width):
            twice = add(here[x + 1], here[x + 1])
            across = subtract(subtract(twice, here[x]), here[x + 2])
            down = subtract(subtract(twice, above[x + 1]), below[x + 1])
            most = larger(
                larger(across, subtract(zero, across)), larger(down, subtract(zero, down))
            )
            dimmed = (line[x] >> np.uint32(1)) & np.uint32(0x7F7F7F)
            line[x] = colour if most >= limit else dimmed
        above, here, below = here, below, above


@cache
def _compiled() -> None:
    """Compiling holds on to what a loop is called with: a screen would stay locked."""
    row = np.zeros(3, np.int16)
    _light(np.zeros(1, np.uint32), (1, 1, 1), (row, row.copy(), row.copy()), INK, LEAST)


def light_edges(target: Pixels) -> None:
    """Light the edges of a drawn picture and dim the rest.

    Parameters
    ----------
    target:
        (rows, columns) uint32 of 0x00RRGGBB, columns side by side in memory; changed in place.
    """
    _compiled()
    rows, columns = target.shape
    pitch = target.strides[0] // 4
    strided = np.lib.stride_tricks.as_strided
    flat = strided(target, ((rows - 1) * pitch + columns,), (4,))
    wide = columns + 2
    kept = np.empty(wide, np.int16), np.empty(wide, np.int16), np.empty(wide, np.int16)
    _light(flat, (rows, columns, pitch), kept, INK, LEAST)
