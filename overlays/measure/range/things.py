"""Which tiles the brightest and the darkest thing of a picture are.

A thing is what fills at least the share of the picture below which it is a speck: in one piece, or
gathered from small things that are alike (150 lamps of 9x9 pixels). So its level is the one that as
many tiles reach; hot pixels do not move a tile, and single hot tiles are too few.
"""

import math

import numpy as np
import numpy.typing as npt

from overlays.measure.range.areas import Areas

Values = npt.NDArray[np.float32]

LOWEST_STOPS = -30.0
"""Stands for no light: headroom is compared in stops, which end there."""
MOST_STOPS = 0.25
"""Most by which tiles of one thing may differ for all their noise; a third of a stop and more is
another thing."""
TYPICAL = 0.75
"""Quantile of the windows on a thing that is taken: the highest of many is so by noise alone."""
DEVIATIONS = 6.0
"""The least of 25 tiles lies two deviations beneath their mean, the highest of 100 000 four above."""


def speck_pixels(pixels: int, speck_percent: float) -> float:
    """Pixels from which on a thing matters."""
    return max(speck_percent / 100.0 * pixels, 1.0)


def highest_window(
    values: Values, tile_pixels: int, speck: float, steps: tuple[float, float]
) -> tuple[int, int, int]:
    """(row, column, edge) in tiles of the window that shows the highest thing best.

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

    Notes
    -----
    The window is as large as a thing that just matters, or smaller where the thing is thin.
    """
    count = min(max(math.ceil(speck / tile_pixels), 1), values.size)
    level = float(np.partition(values, values.size - count, axis=None)[values.size - count])
    alike = values >= level - _unevenness(values, level, steps)
    edge = min(math.ceil(math.sqrt(speck / tile_pixels)), *values.shape)
    while True:
        full = _window_sums(alike.astype(np.float64), edge) > edge * edge - 0.5
        if full.any() or edge == 1:
            means = _window_sums(values.astype(np.float64), edge) / edge**2
            typical = float(np.quantile(means[full], TYPICAL))
            off = np.where(full, np.abs(means - typical), np.inf)
            row, column = divmod(int(off.argmin()), full.shape[1])
            return row, column, edge
        edge = max(min(edge - 1, round(edge * 0.8)), 1)


def _unevenness(values: Values, level: float, steps: tuple[float, float]) -> float:
    """How far beneath a level tiles of the same thing may lie, by the noise among its neighbours."""
    around = np.pad(values, ((0, 1), (0, 1)), mode="edge")
    beside = np.minimum(np.abs(around[1:, :-1] - values), np.abs(around[:-1, 1:] - values))[
        values >= level - steps[1]
    ]
    # Half a normal difference is 0.674 sqrt(2) deviations wide, the lesser of two 0.4 sqrt(2).
    deviation = float(np.median(beside)) / 0.57
    return min(max(1.5 * steps[0], DEVIATIONS * deviation), steps[1])


def _window_sums(values: npt.NDArray[np.float64], edge: int) -> npt.NDArray[np.float64]:
    """Sums over every window of `edge` x `edge`."""
    total = np.pad(values, ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    sums: npt.NDArray[np.float64] = (
        total[edge:, edge:] - total[:-edge, edge:] - total[edge:, :-edge] + total[:-edge, :-edge]
    )
    return sums


def reached_level(counts: npt.NDArray[np.uint32], areas: Areas, speck: float) -> int:
    """The highest level that blocks of as much area as a speck reach, of (levels,) counts."""
    from_above = np.cumsum(counts[::-1])[::-1] * float(areas.edge**2)
    reached = np.flatnonzero(from_above >= speck)
    return int(reached[-1]) if reached.size else 0
