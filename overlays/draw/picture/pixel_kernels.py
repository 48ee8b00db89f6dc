"""Loops that turn rows of scaled codes into pixels. Unchecked: `picture` checks."""

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.draw.picture.narrow import (
    add,
    bounded,
    larger,
    multiply_high,
    pixel,
    shift_left,
    shift_right,
    smaller,
    subtract,
)

Row = npt.NDArray[np.int16]
Rows = tuple[Row, Row, Row]
Pixels = npt.NDArray[np.uint32]
Long = npt.NDArray[np.int64]

_kernel = nb.njit(cache=True, nogil=True, forceinline=True)


@_kernel
def mix_colour(rows: Rows, spare: Row, gains: Row, lift: int, zero: int) -> None:
    """Y', Cb, Cr to R', G', B' with four bits behind the point, in `spare` and the chroma rows.

    `gains` are the five of a `Mix` and its three offsets; luma is left as it was.
    """
    luma, cb, cr = rows
    up, middle = np.int16(lift), np.int16(zero)
    g0, g1, g2, g3, g4 = gains[0], gains[1], gains[2], gains[3], gains[4]
    o0, o1, o2 = gains[5], gains[6], gains[7]
    for x in range(luma.size):
        y = multiply_high(shift_left(luma[x], up), g0)
        u = shift_left(subtract(cb[x], middle), up)
        v = shift_left(subtract(cr[x], middle), up)
        spare[x] = add(add(y, multiply_high(v, g1)), o0)
        cb[x] = add(add(add(y, multiply_high(u, g2)), multiply_high(v, g3)), o1)
        cr[x] = add(add(y, multiply_high(u, g4)), o2)


@_kernel
def mix_rgb(rows: Rows, spare: Row, gains: Row, lift: int, weights: npt.NDArray[np.int32]) -> None:
    """The same of R', G', B'; the first row becomes luma, by `weights` in 1/32768."""
    red, green, blue = rows
    up, gain = np.int16(lift), gains[0]
    o0, o1, o2 = gains[5], gains[6], gains[7]
    for x in range(red.size):
        luma = weights[0] * red[x] + weights[1] * green[x] + weights[2] * blue[x]
        spare[x] = add(multiply_high(shift_left(red[x], up), gain), o0)
        green[x] = add(multiply_high(shift_left(green[x], up), gain), o1)
        blue[x] = add(multiply_high(shift_left(blue[x], up), gain), o2)
        red[x] = np.int16((luma + 16384) >> 15)


@_kernel
def store_plain(red: Row, green: Row, blue: Row, out: Pixels) -> None:
    """Pixels of R', G', B', held to 0..255."""
    low, high, down = np.int16(0), np.int16(255), np.int16(4)
    for x in range(out.size):
        out[x] = pixel(
            bounded(shift_right(red[x], down), low, high),
            bounded(shift_right(green[x], down), low, high),
            bounded(shift_right(blue[x], down), low, high),
        )


@_kernel
def store_viewed(
    red: Row, green: Row, blue: Row, table: npt.NDArray[np.uint8], out: Pixels
) -> None:
    """Pixels of R', G', B' through a view transform."""
    low, last, black = np.int16(0), np.int16(table.size - 1), np.int16(255)
    one = np.int16(1)
    for row in (red, green, blue):
        for x in range(out.size):
            row[x] = bounded(add(shift_right(row[x], one), black), low, last)
    for x in range(out.size):
        # With unsigned indices numba leaves out the check for negative ones.
        r = np.uint32(table[np.uint16(red[x])])
        g = np.uint32(table[np.uint16(green[x])])
        b = np.uint32(table[np.uint16(blue[x])])
        out[x] = (r << np.uint32(16)) | (g << np.uint32(8)) | b


@_kernel
def nudges(size: int) -> Row:
    """(2, size): of four neighbours each rounds at another level, as in a 2 by 2 ordered dither."""
    out = np.empty((2, size), np.int16)
    for x in range(size):
        out[0, x] = 4 + 16 * (x & 1)
        out[1, x] = 28 - 16 * (x & 1)
    return out


@_kernel
def store_cubed(
    rows: Rows, nudge: Row, colours: Pixels, place: tuple[int, int, int], out: Pixels
) -> None:
    """Pixels of R', G', B' through a user's table; see `cube_table`.

    `place` is its lowest and its highest level and the gain between.
    """
    low, high, gain = np.int16(place[0]), np.int16(place[1]), np.int16(place[2])
    up, down = np.int16(2), np.int16(5)
    for row in rows:
        for x in range(out.size):
            above = shift_left(subtract(bounded(row[x], low, high), low), up)
            row[x] = shift_right(add(multiply_high(above, gain), nudge[x]), down)
    red, green, blue = rows
    for x in range(out.size):
        r, g, b = np.uint16(red[x]), np.uint16(green[x]), np.uint16(blue[x])
        out[x] = colours[
            np.uint32(r) << np.uint32(14) | np.uint32(g) << np.uint32(7) | np.uint32(b)
        ]


@_kernel
def store_mapped(luma: Row, colours: Pixels, down: int, out: Pixels) -> None:
    """Pixels by level alone: `colours` by scaled code, shifted down by so many bits."""
    shift = np.int16(down)
    for x in range(out.size):
        out[x] = colours[np.uint16(shift_right(luma[x], shift))]


@_kernel
def mirror(row: Pixels) -> None:
    """Left for right."""
    last = row.size - 1
    for x in range(row.size // 2):
        left = row[x]
        row[x] = row[last - x]
        row[last - x] = left


@_kernel
def _extent(luma: Row) -> tuple[int, int]:
    """Lowest and highest of a row."""
    least, most = luma[0], luma[0]
    for x in range(luma.size):
        least = smaller(least, luma[x])
        most = larger(most, luma[x])
    return least, most


@_kernel
def _stripe(luma: Row, low: int, high: int, pattern: Pixels, out: Pixels) -> None:
    """Pixels whose luma lies in a band take the pattern's colour where it has one."""
    first, last, clear = np.int16(low), np.int16(high), np.uint32(0)
    for x in range(out.size):
        # Read before it is asked for: a store on condition alone is no vector on a board's NEON.
        level, colour, seen = luma[x], pattern[x], out[x]
        inside = (level >= first) & (level <= last) & (colour != clear)
        out[x] = colour if inside else seen


@_kernel
def _two_stripes(
    luma: Row,
    limits: tuple[int, int, int, int],
    patterns: tuple[Pixels, Pixels],
    out: Pixels,
) -> None:
    """Two stripes in one go, the second over the first: luma and pixels are read once."""
    first, last = np.int16(limits[0]), np.int16(limits[1])
    other_first, other_last = np.int16(limits[2]), np.int16(limits[3])
    below, above, clear = patterns[0], patterns[1], np.uint32(0)
    for x in range(out.size):
        level, under, over, seen = luma[x], below[x], above[x], out[x]
        inside = (level >= first) & (level <= last) & (under != clear)
        seen = under if inside else seen
        inside = (level >= other_first) & (level <= other_last) & (over != clear)
        out[x] = over if inside else seen


@_kernel
def _pattern(bands: Long, band: int, y: int, patterns: Pixels, size: int) -> Pixels:
    start = (y * bands[band, 3] // bands[band, 4]) % bands[band, 2]
    return patterns[band, start : start + size]


@_kernel
def paint_stripes(luma: Row, y: int, bands: Long, patterns: Pixels, out: Pixels) -> None:
    """`bands` rows are (low, high, period, rise, run): a line moves `rise` pixels in `run` rows."""
    if bands.shape[0] == 0:
        return
    least, most = _extent(luma)
    waiting = -1
    for band in range(bands.shape[0]):
        if bands[band, 0] > most or bands[band, 1] < least:
            continue
        if waiting < 0:
            waiting = band
            continue
        limits = (bands[waiting, 0], bands[waiting, 1], bands[band, 0], bands[band, 1])
        both = (
            _pattern(bands, waiting, y, patterns, out.size),
            _pattern(bands, band, y, patterns, out.size),
        )
        _two_stripes(luma, limits, both, out)
        waiting = -1
    if waiting >= 0:
        pattern = _pattern(bands, waiting, y, patterns, out.size)
        _stripe(luma, bands[waiting, 0], bands[waiting, 1], pattern, out)
