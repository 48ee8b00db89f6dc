"""Which tiles the brightest and the darkest thing of a picture are.

A thing is what fills at least the share of the picture below which it is a speck: in one piece, or
gathered from small things that are alike (150 lamps of 9x9 pixels). So its level is the one that as
many tiles reach; hot pixels do not move a tile, and single hot tiles are too few.
"""

import math

import numpy as np
import numpy.typing as npt

from overlays.measure.range.area_counts import spread_over, squares

Values = npt.NDArray[np.float32]

LOWEST_STOPS = -30.0
"""Stands for no light: headroom is compared in stops, which end there."""
MOST_STOPS = 0.25
"""Most by which tiles of one thing may differ for all their noise; a third of a stop and more is
another thing."""
TYPICAL = 0.75
"""Quantile of the windows on a thing that is taken: the highest of many is so by noise alone."""
MOST_WINDOWS = 4096
"""Windows that are compared: where there are more, every so many."""
BINS = 4096
DEVIATIONS = 6.0
"""The least of 25 tiles lies two deviations beneath their mean, the highest of 100 000 four
above."""


def speck_pixels(pixels: int, speck_percent: float) -> float:
    """Pixels from which on a thing matters.

    Parameters
    ----------
    pixels:
        Of the picture.
    speck_percent:
        Share of it, in percent.

    Returns
    -------
    float
        Pixels, at least 1.

    Examples
    --------
    >>> speck_pixels(1000, 2.0), speck_pixels(10, 0.1)
    (20.0, 1.0)
    """
    return max(speck_percent / 100.0 * pixels, 1.0)


def highest_window(
    values: Values, tile_pixels: int, speck: float, steps: tuple[float, float]
) -> tuple[int, int, int]:
    """The window that shows the highest thing best.

    Parameters
    ----------
    values:
        (rows, columns), in stops or levels; the greatest are looked for.
    tile_pixels:
        Pixels of a tile.
    speck:
        Pixels from which on a thing matters.
    steps:
        By how much tiles of one thing differ at least (one code) and at the most.

    Returns
    -------
    tuple[int, int, int]
        Row and column of its first tile, and how many tiles it has each way.

    Notes
    -----
    The window is as large as a thing that just matters, or smaller where the thing is thin.

    Examples
    --------
    >>> values = np.zeros((6, 6), np.float32)
    >>> values[2:4, 3:5] = 1.0
    >>> highest_window(values, tile_pixels=16, speck=64.0, steps=(0.01, 0.25))
    (2, 3, 2)
    """
    level = reached(values, speck / tile_pixels)
    ends = np.empty(values.shape, np.int32)
    squares(values, level - _unevenness(values, level, steps), ends)
    wanted = min(math.ceil(math.sqrt(speck / tile_pixels)), *values.shape)
    edge = min(wanted, int(ends.max()))
    found = np.flatnonzero(ends >= edge)
    found = found[:: -(-found.size // MOST_WINDOWS)]
    rows, columns = found // values.shape[1] - edge + 1, found % values.shape[1] - edge + 1
    means = np.zeros(found.size)
    for row in range(edge):
        for column in range(edge):
            means += values[rows + row, columns + column]
    nearest = int(np.abs(means - np.quantile(means, TYPICAL)).argmin())
    return int(rows[nearest]), int(columns[nearest]), edge


def _unevenness(values: Values, level: float, steps: tuple[float, float]) -> float:
    """How far beneath a level tiles of a thing may lie, by the noise among its neighbours."""
    wide = values.shape[1]
    flat = np.ascontiguousarray(values).reshape(-1)
    held = np.flatnonzero(flat >= level - steps[1])
    held = held[:: -(-held.size // MOST_WINDOWS)]
    beside = np.abs(flat[np.minimum(held + 1, flat.size - 1)] - flat[held])
    under = np.abs(flat[np.minimum(held + wide, flat.size - 1)] - flat[held])
    # Half a normal difference is 0.674 sqrt(2) deviations wide, the lesser of two 0.4 sqrt(2).
    deviation = float(np.median(np.minimum(beside, under))) / 0.57
    return min(max(1.5 * steps[0], DEVIATIONS * deviation), steps[1])


def reached(values: Values, count: float) -> float:
    """The greatest value that as many tiles reach, to a 4096th of the span of the values.

    Parameters
    ----------
    values:
        (rows, columns) float32, in any unit.
    count:
        Tiles; at least one, and no more than there are, are meant by less and more.

    Returns
    -------
    float
        A level in their unit.

    Examples
    --------
    >>> reached(np.array([[0.0, 0.0], [4.0, 8.0]], np.float32), 1)
    8.0
    """
    at_least = min(max(math.ceil(count), 1), values.size)
    low, high = float(values.min()), float(values.max())
    if high <= low:
        return low
    scale = (BINS - 1) / (high - low)
    counts = np.zeros(BINS, np.int64)
    spread_over(values, low, scale, counts)
    from_above = np.cumsum(counts[::-1])[::-1]
    return low + int(np.flatnonzero(from_above >= at_least)[-1]) / scale
