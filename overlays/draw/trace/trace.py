"""The trace: level of every pixel, column by column, drawn from the census."""

import math
from dataclasses import dataclass
from functools import partial

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.layout.theme import (
    AMBER,
    LINE,
    PANEL,
    QUIET,
    RED,
    TEXT,
    VIOLET,
    Colour,
    pixel_of,
)
from overlays.draw.trace.scales import Kind, Mark
from overlays.errors import DrawingError
from overlays.measure.counting.kernels import Counts
from overlays.sharing.crew import ALONE, Crew, Task, swaths

Pixels = npt.NDArray[np.uint32]
Sums = npt.NDArray[np.int32]
Spans = npt.NDArray[np.uint32]

SHADES = 2048
"""Counts from which on a pixel of the trace is as bright as it gets."""

FAINTEST = 0.34
"""Share of full brightness of a single picture pixel: it must be seen beside a thousand."""

CLEAR = 0x80000000
"""Bit of a pixel of a ground that shows what is behind, and by its colour how much lighter."""

BLOCK = 16
"""Columns drawn together, so that a row of pixels is written in one piece."""


@dataclass(frozen=True, slots=True, eq=False)
class TraceGround:
    """What shows where no pixel of the picture has that level.

    `rows` is (4, rows) uint32: dash on, dash off, and both again for the columns of the spot.
    """

    rows: Pixels


_LINES: dict[Kind, tuple[Colour, Colour]] = {
    Kind.PERCENT: (PANEL, PANEL),
    Kind.LIMIT: (QUIET, PANEL),
    Kind.STOP: (LINE, LINE),
    Kind.MID_GREY: (TEXT, TEXT),
    Kind.CLIP: (RED, RED),
    Kind.FLOOR: (VIOLET, VIOLET),
}
"""Colours of each line where the dash is on and where it is off."""


def blend(low: Colour, high: Colour, share: float) -> Colour:
    """Part of the way from one colour to another."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(low, high, strict=True))
    return red, green, blue


def shades(colour: Colour) -> Pixels:
    """Pixel by count, (SHADES,) uint32; 0 is not used.

    The logarithm of the count: ten pixels and ten thousand are both visible.
    """
    logs = np.log(np.arange(1, SHADES)) / math.log(SHADES - 1)
    share = FAINTEST + (1.0 - FAINTEST) * logs
    low, high = np.array(PANEL)[:, None], np.array(colour)[:, None]
    red, green, blue = np.rint(low + (high - low) * share).astype(np.uint32)
    out = np.zeros(SHADES, np.uint32)
    out[1:] = red << 16 | green << 8 | blue
    return out


def trace_ground(rows: int, marks: tuple[Mark, ...], *, is_over: bool = False) -> TraceGround:
    """Ground with lines; later marks lie over earlier ones. Without lines a picture may be seen."""
    clear = CLEAR if is_over else 0
    out = np.full((4, rows), clear or pixel_of(PANEL), np.uint32)
    spot = blend((0, 0, 0), AMBER, 0.16) if is_over else blend(PANEL, AMBER, 0.16)
    out[2:] = clear | pixel_of(spot)
    for mark in marks:
        if mark.kind is Kind.PERCENT:
            continue  # a tick beside the trace, no line through it
        on, off = _LINES[mark.kind]
        out[0, mark.row] = out[2, mark.row] = pixel_of(on)
        if off != PANEL:
            out[1, mark.row] = out[3, mark.row] = pixel_of(off)
    return TraceGround(out)


@nb.njit(cache=True, nogil=True)
def _lay_over(sheet: Pixels, target: Pixels, pitch: int) -> None:
    rows, columns = sheet.shape
    for y in range(rows):
        above, below = sheet[y], target[y * pitch : y * pitch + columns]
        for x in range(columns):
            pixel = above[x]
            dimmed = (below[x] >> np.uint32(2)) & np.uint32(0x3F3F3F)
            lit = dimmed + (pixel & np.uint32(0xFFFFFF))
            below[x] = pixel if pixel < np.uint32(CLEAR) else lit


def _flat(pixels: Pixels) -> tuple[Pixels, int]:
    """Pixels of an area one after the other with what lies between its rows; from row to row."""
    rows, columns = pixels.shape
    pitch = pixels.strides[0] // 4
    strided = np.lib.stride_tricks.as_strided
    return strided(pixels, ((rows - 1) * pitch + columns,), (4,)), pitch


def lay_over(sheet: Pixels, target: Pixels, crew: Crew = ALONE) -> None:
    """Lay a drawn trace over a picture, which is a quarter as bright where it shows through.

    Parameters
    ----------
    sheet:
        (rows, columns) uint32, drawn on a ground that is clear where it has no line.
    target:
        The same of the picture, side by side in memory.
    crew:
        Who lays it, each its own rows.
    """
    cuts = [slice(*cut) for cut in swaths(sheet.shape[0], crew.workers)]
    crew.together([partial(_lay_over, sheet[cut], *_flat(target[cut])) for cut in cuts])


@nb.njit(cache=True, nogil=True)
def _running_sums(counts: Counts, first: int, last: int, sums: Sums) -> None:
    """``sums[1, n]`` becomes the count of all levels below `n` in columns `first` to `last`."""
    line, running = sums[0], sums[1]
    levels = counts.shape[1]
    one = counts[first]
    total = np.int32(0)
    if last - first == 1:  # the usual case needs no sum of columns
        for level in range(levels):
            running[level] = total
            total += np.int32(one[level])
        running[levels] = total
        return
    for level in range(levels):
        line[level] = np.int32(one[level])
    for c in range(first + 1, last):
        more = counts[c]
        for level in range(levels):
            line[level] += np.int32(more[level])
    for level in range(levels):
        running[level] = total
        total += line[level]
    running[levels] = total


@nb.njit(cache=True, nogil=True)
def _draw(
    counts: Counts,
    spans: tuple[Spans, Spans],
    looks: tuple[Pixels, Pixels],
    spot: tuple[int, int],
    scratch: tuple[Sums, Pixels],
    target: tuple[Pixels, int, tuple[int, int]],
) -> None:
    """`target` ends with the first column to draw, a multiple of `BLOCK`, and one past the last."""
    starts, edges = spans
    shade, ground = looks
    sums, block = scratch
    pixels, pitch, (begin, past) = target
    rows = edges.shape[1]
    most = np.uint32(shade.size - 1)
    above, below = edges[1], edges[0]
    for base in range(begin, past, BLOCK):
        count = min(BLOCK, past - base)
        for at in range(count):
            x = base + at
            first, last = starts[0, x], starts[1, x]
            # Neighbours may show the same columns of the census.
            if at == 0 or first != starts[0, x - 1] or last != starts[1, x - 1]:
                _running_sums(counts, first, last, sums)
            running, portion = sums[1], np.uint32(256 // (last - first))
            behind = ground[((x >> 2) & 1) + (2 if spot[0] <= x < spot[1] else 0)]
            place = np.uint32(at)
            for y in range(rows):
                count_here = np.uint32(running[above[y]] - running[below[y]])
                colour = behind[y]
                if count_here != np.uint32(0):
                    # Rounded up: one picture pixel among several columns must not vanish.
                    share = np.uint32((count_here * portion + np.uint32(255)) >> np.uint32(8))
                    colour = shade[min(share, most)]
                block[place] = colour
                place += np.uint32(BLOCK)
        for y in range(rows):
            start = y * pitch + base
            out, row = pixels[start : start + count], block[y * BLOCK : y * BLOCK + count]
            for at in range(count):
                out[at] = row[at]


class TraceDrawer:
    """Draws traces; keeps tables and scratch for the size it was last asked for."""

    def __init__(self, colour: Colour = TEXT) -> None:
        self._shade = shades(colour)
        self._key: tuple[int, int, int, int] | None = None
        self._spans = (np.zeros((2, 0), np.uint32), np.zeros((2, 0), np.uint32))
        self._scratch: list[tuple[Sums, Pixels]] = []

    def draw(
        self,
        counts: Counts,
        ground: TraceGround,
        spot: tuple[int, int],
        target: Pixels,
        crew: Crew = ALONE,
    ) -> None:
        """Fill `target` with the trace; `crew` draws it, the rest as `tasks` takes it."""
        crew.together(self.tasks(counts, ground, spot, target, crew.workers))

    def tasks(
        self,
        counts: Counts,
        ground: TraceGround,
        spot: tuple[int, int],
        target: Pixels,
        workers: int = 1,
    ) -> list[Task]:
        """What fills `target` with the trace.

        Parameters
        ----------
        counts:
            (census columns, levels), of `Census.levels` or one channel of `Census.rgb`.
        ground:
            Of as many rows as the target.
        spot:
            First drawn column of the spot and one past its last.
        target:
            (rows, columns) uint32 pixels, side by side in memory.
        workers:
            How many draw it, each its own columns.

        Returns
        -------
        list of Task
            One for each of them; to be done before this is asked again.

        Raises
        ------
        DrawingError
            The target does not suit the ground, or its pixels do not lie side by side.
        """
        if target.ndim != 2 or target.strides[1] != 4 or ground.rows.shape[1] != target.shape[0]:
            raise DrawingError(
                f"a trace of {ground.rows.shape[1]} rows cannot be drawn on an area of shape "
                f"{target.shape}"
            )
        rows, columns = target.shape
        key = (*counts.shape, rows, columns)
        if key != self._key:
            self._key = key
            upwards = _spans(counts.shape[1], rows)[:, ::-1]
            self._spans = (_spans(counts.shape[0], columns), np.ascontiguousarray(upwards))
            self._scratch = []
        flat, pitch = _flat(target)
        cuts = swaths(columns, workers, BLOCK)
        while len(self._scratch) < len(cuts):
            room = np.zeros((2, counts.shape[1] + 1), np.int32), np.zeros(rows * BLOCK, np.uint32)
            self._scratch.append(room)
        looks = self._shade, ground.rows
        return [
            partial(_draw, counts, self._spans, looks, spot, room, (flat, pitch, cut))
            for room, cut in zip(self._scratch, cuts, strict=False)
        ]


def _spans(source: int, drawn: int) -> Spans:
    """First and one past the last source index of each drawn one, at least one each, (2, drawn)."""
    index = np.arange(drawn, dtype=np.int64)
    first = index * source // drawn
    last = np.maximum((index + 1) * source // drawn, first + 1)
    return np.stack([first, last]).astype(np.uint32)
