"""A user's table made ready for pixels: exact at its nodes, a colour of the screen in each.

Tetrahedral interpolation (each cell of the table is cut into six tetrahedra along the line from its
darkest to its lightest corner, so that greys are interpolated among greys alone) takes too long for
each pixel. It is done once, for `EDGE` levels each way; pixels then take the nearest, nearest for a
level that is moved a little up or down from pixel to pixel, so that a smooth slope stays smooth.
"""

from dataclasses import dataclass
from functools import partial

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.layout.cube import Cube
from overlays.draw.picture.mixing import FRACTION_BITS, VIEW_HIGH, VIEW_LOW
from overlays.measure.counting.yardstick import Yardstick
from overlays.sharing.crew import ALONE, Crew, swaths
from overlays.signal.levels import carriage_line

EDGE_BITS = 7
EDGE = 1 << EDGE_BITS
"""Levels told apart: 128, in 8 MiB, of which a picture's colours touch a small part."""

BETWEEN_BITS = 5
"""Of the way from one to the next that decide, with a pixel's place, which of both is taken."""

UP = 2
"""Bits by which a level is shifted up before it is scaled: as many as 16 bits have room for."""

HALF = 1 << FRACTION_BITS - 1
"""What mixed levels have more than they should, so that cutting them off rounds them."""

NARROWEST = 2048
"""Least span in levels of 16 to a display level: beneath it the scale would not fit 16 bits."""

Pixels = npt.NDArray[np.uint32]
Nodes = npt.NDArray[np.float32]
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class CubeTable:
    """What pixels are stored through.

    Attributes
    ----------
    colours:
        0x00RRGGBB by red, green and blue, `EDGE` each, red slowest.
    low, high, gain:
        The levels, with `FRACTION_BITS` behind the point, of the first and the last of them, and
        what brings a level between to its place, in 1/65536.
    """

    colours: Pixels
    low: int
    high: int
    gain: int


def cube_table(cube: Cube, yard: Yardstick, crew: Crew = ALONE) -> CubeTable:
    """Make a user's table ready.

    Parameters
    ----------
    cube:
        Its input is the value of the curve as it is published, 0 to 1 (of a standard curve the
        video level), whatever way the feed carries it.
    yard:
        Of the feed.
    crew:
        Who makes it.
    """
    offset, slope = carriage_line(yard.carried.carriage, yard.carried.signal_range)
    unit = 255.0 * (1 << FRACTION_BITS)
    ends = [(value - offset) / slope for value in (min(cube.low), max(cube.high))]
    first, last = (round(unit * min(max(end, VIEW_LOW), VIEW_HIGH)) for end in ends)
    last = max(last, first + NARROWEST)
    values = offset + slope * np.linspace(first, last, EDGE) / unit
    of = cube.nodes.shape[0] - 1
    places = np.array(
        [
            np.clip((values - low) / (high - low), 0.0, 1.0) * of
            for low, high in zip(cube.low, cube.high, strict=True)
        ]
    )
    colours = np.empty(EDGE**3, np.uint32)
    if cube.nodes.ndim == 2:
        _fill_lines(cube.nodes, places, colours)
    else:
        parts = swaths(EDGE, crew.workers)
        crew.together([partial(_fill, cube.nodes, places, part, colours) for part in parts])
    span = (last - first) << UP
    gain = round((EDGE - 1 << BETWEEN_BITS) * 65536 / span)
    return CubeTable(colours, first + HALF, last + HALF, gain)


def _fill_lines(nodes: Nodes, places: Floats, colours: Pixels) -> None:
    """Of a table of one dimension: each channel by itself."""
    at = np.arange(nodes.shape[0])
    levels = [np.interp(places[k], at, nodes[:, k]) for k in range(3)]
    red, green, blue = (
        np.clip(np.rint(level * 255.0), 0.0, 255.0).astype(np.uint32) for level in levels
    )
    solid = red[:, None, None] << 16 | green[:, None] << 8 | blue
    colours[:] = solid.reshape(-1)


@nb.njit(cache=True, nogil=True)
def _fill(nodes: Nodes, places: Floats, reds: tuple[int, int], colours: Pixels) -> None:
    """Of a table of three dimensions, for some of the reds."""
    count, last = places.shape[1], nodes.shape[0] - 2
    for r in range(reds[0], reds[1]):
        i = min(int(places[0, r]), last)
        x = places[0, r] - i
        for g in range(count):
            j = min(int(places[1, g]), last)
            y = places[1, g] - j
            for b in range(count):
                k = min(int(places[2, b]), last)
                z = places[2, b] - k
                # From the darkest corner along the longest way first: red, green and blue steps.
                if x >= y:
                    if y >= z:
                        a, c = (1, 0, 0), (1, 1, 0)
                        first, second, third = x, y, z
                    elif x >= z:
                        a, c = (1, 0, 0), (1, 0, 1)
                        first, second, third = x, z, y
                    else:
                        a, c = (0, 0, 1), (1, 0, 1)
                        first, second, third = z, x, y
                elif x >= z:
                    a, c = (0, 1, 0), (1, 1, 0)
                    first, second, third = y, x, z
                elif y >= z:
                    a, c = (0, 1, 0), (0, 1, 1)
                    first, second, third = y, z, x
                else:
                    a, c = (0, 0, 1), (0, 1, 1)
                    first, second, third = z, y, x
                packed = 0
                for channel in range(3):
                    level = (
                        (1.0 - first) * nodes[k, j, i, channel]
                        + (first - second) * nodes[k + a[2], j + a[1], i + a[0], channel]
                        + (second - third) * nodes[k + c[2], j + c[1], i + c[0], channel]
                        + third * nodes[k + 1, j + 1, i + 1, channel]
                    )
                    held = min(max(level * 255.0 + 0.5, 0.0), 255.0)
                    packed = packed << 8 | int(held)
                colours[(r * count + g) * count + b] = packed
