"""The loops behind the noise of a spot: interactions of its cells' means. Private, unchecked."""

import math

import numba as nb
import numpy as np
import numpy.typing as npt

from overlays.measure.spot.cell_kernels import grow

FloatArray = npt.NDArray[np.float64]
CodeArray = npt.NDArray[np.int64]

_FEWEST_DEGREES = 9.0
"""Degrees of freedom a block size needs to be believed: Student's t is then under 2.3."""
_DECAY = 0.6
"""By how much the growth from one block size to the next shrinks when blocks double. Of noise with
a correlation that ends, the growth halves in the end (the part of a block that lies near its edge
goes as one by its size) and shrinks less before: 0.5 to 0.7 for a gaussian."""
_MOST_GROWTH = 8.0
"""Of the variance, from one block size to the next: white noise has 1, a slope in x and y 16."""
_LEVEL = 1.5
"""Growth yet to come up to which noise is as good as white: then the smaller blocks, of which there
are four times as many, tell of a spot as well, unless the larger ones say more than that."""


@nb.njit(cache=True, nogil=True)
def _join_fours(blocks: FloatArray, rows: int, columns: int) -> None:
    """Means of blocks of 2 x 2, in place, into the first `rows` x `columns` of each plane."""
    for p in range(blocks.shape[0]):
        for i in range(rows):
            for j in range(columns):
                total = blocks[p, 2 * i, 2 * j] + blocks[p, 2 * i, 2 * j + 1]
                total += blocks[p, 2 * i + 1, 2 * j] + blocks[p, 2 * i + 1, 2 * j + 1]
                blocks[p, i, j] = 0.25 * total


@nb.njit(cache=True, nogil=True)
def _take_margins(part: FloatArray, out: FloatArray) -> None:
    """Every mean less that of its row and that of its column, plus the mean over all."""
    rows, columns = part.shape
    of_row, of_column = np.zeros(rows), np.zeros(columns)
    for i in range(rows):
        total = 0.0
        for j in range(columns):
            total += part[i, j]
            of_column[j] += part[i, j]
        of_row[i] = total / columns
    middle = 0.0
    for i in range(rows):
        middle += of_row[i]
    middle /= rows
    for j in range(columns):
        of_column[j] = of_column[j] / rows - middle
    for i in range(rows):
        for j in range(columns):
            out[i, j] = part[i, j] - (of_row[i] + of_column[j])


@nb.njit(cache=True, nogil=True)
def _products(left: FloatArray, p: int, before: int) -> tuple[float, float, float]:
    """Sums of products of plane `p` with itself, with the one before and with the first.

    All at once: each of the sums waits for its last addition, and they wait together.
    """
    own, near, far = 0.0, 0.0, 0.0
    for i in range(left.shape[1]):
        for j in range(left.shape[2]):
            here = left[p, i, j]
            own += here * here
            near += here * left[before, i, j]
            far += here * left[0, i, j]
    return own, near, far


@nb.njit(cache=True, nogil=True)
def interactions(cells: FloatArray, levels: int, out: FloatArray, degrees: FloatArray) -> int:
    """Covariances of block means about their row and column means, at growing block sizes.

    Blocks of 1, 2, 4 ... cells; of their means m(i, j) the residual is
    m - mean over i - mean over j + mean over all, which leaves nothing of any f(row) + g(column).

    Parameters
    ----------
    cells:
        (planes, rows, columns) float64 codes, of three planes at the most.
    levels:
        Block sizes to look at.
    out:
        (levels, planes, planes) float64, written to: covariances in square codes, by the degrees
        of freedom (rows - 1)(columns - 1) of the blocks.
    degrees:
        (levels,) float64, written to: those degrees.

    Returns
    -------
    int
        How many sizes there are blocks of.
    """
    planes, rows, columns = cells.shape
    blocks = cells.copy()
    left = np.empty((planes, rows, columns))
    for level in range(levels):
        if level > 0:
            rows, columns = rows // 2, columns // 2
            _join_fours(blocks, rows, columns)
        if rows < 2 or columns < 2:
            return level
        degrees[level] = (rows - 1) * (columns - 1)
        for p in range(planes):
            _take_margins(blocks[p, :rows, :columns], left[p, :rows, :columns])
            before = max(p - 1, 0)
            own, near, far = _products(left[:, :rows, :columns], p, before)
            for q, both in ((p, own), (before, near), (0, far)):
                out[level, p, q] = out[level, q, p] = both / degrees[level]
    return levels


@nb.njit(cache=True, nogil=True)
def _grown(power: FloatArray, level: int, octaves: float) -> float:
    """The power of a level carried on over so many doublings, by its growth from the one below.

    Of few large blocks growth is seen badly: it is no more than that of the smaller ones foretells.
    """
    growth = _growth(power, level)
    if level > 1:
        growth = min(growth, _growth(power, level - 1) ** _DECAY)
    doublings = _DECAY * (1.0 - _DECAY**octaves) / (1.0 - _DECAY)
    return float(power[level] * growth**doublings)


@nb.njit(cache=True, nogil=True)
def _growth(power: FloatArray, level: int) -> float:
    if level == 0 or power[level - 1] <= 0.0:
        return 1.0
    return min(max(float(power[level] / power[level - 1]), 1.0), _MOST_GROWTH)


@nb.njit(cache=True, nogil=True)
def _worth(degrees: float, power: float, carried: float) -> float:
    """Blocks that go together are worth fewer: by as much as a spot's noise outgrows theirs."""
    return max(degrees * power / carried, 1.0) if carried > 0.0 else degrees


@nb.njit(cache=True, nogil=True)
def carry(
    cells: FloatArray, levels: int, size: tuple[float, float], covariance: FloatArray
) -> FloatArray:
    """Covariance of the means of planes over a spot, carried on from its largest blocks.

    Parameters
    ----------
    cells:
        (planes, rows, columns) float64 codes.
    levels:
        Block sizes to look at.
    size:
        Edge of a cell in pixels, and pixels of the spot.
    covariance:
        (planes, planes) float64, 0; written to, in square codes, unless there are no blocks.

    Returns
    -------
    ndarray
        (planes,) float64 degrees of freedom.
    """
    cell, pixels = size
    planes = cells.shape[0]
    out, degrees = np.zeros((levels, planes, planes)), np.zeros(levels)
    levels = interactions(cells, levels, out, degrees)
    worth = np.ones(planes)
    if levels == 0:
        return worth
    best = 0
    for level in range(levels):
        if degrees[level] >= _FEWEST_DEGREES:
            best = level
    standard = np.empty(planes)
    power = np.empty(levels)
    for p in range(planes):
        # Variance of a block's mean times its pixels: constant for white noise.
        for level in range(levels):
            power[level] = out[level, p, p] * (cell * 2.0**level) ** 2
        octaves = max(0.0, math.log2(math.sqrt(pixels) / cell) - best)
        carried = _grown(power, best, octaves)
        worth[p] = _worth(degrees[best], power[best], carried)
        if best > 1:
            other = _grown(power, best - 1, octaves + 1.0)
            more = _worth(degrees[best - 1], power[best - 1], other)
            if other <= _LEVEL * power[best - 1] and carried <= _LEVEL * other:
                carried = (worth[p] * carried + more * other) / (worth[p] + more)
                worth[p] += more
        for level in range(best):
            carried = max(carried, power[level])
        standard[p] = math.sqrt(max(carried, 0.0) / pixels)
    for p in range(planes):
        for q in range(planes):
            spread = math.sqrt(max(out[best, p, p] * out[best, q, q], 1e-300))
            together = min(max(out[best, p, q] / spread, -1.0), 1.0)
            covariance[p, q] = together * standard[p] * standard[q]
    return worth


@nb.njit(cache=True, nogil=True)
def see(
    cells: FloatArray,
    seed: tuple[int, int, int, int],
    least: float,
    levels: int,
    size: tuple[float, float],
) -> tuple[CodeArray, FloatArray, FloatArray, FloatArray]:
    """Noise of the means of planes, by the cells around `seed` that look like it.

    Parameters
    ----------
    cells, seed, least:
        As of `grow`.
    levels, size:
        As of `carry`.

    Returns
    -------
    tuple of ndarray
        (4,) int64 rows and columns of the cells that were looked at; (planes,) float64 standard
        errors of the means in codes; (planes, planes) their correlation; (planes,) degrees of
        freedom.
    """
    planes = cells.shape[0]
    at = grow(cells, seed, least)
    covariance, standard = np.zeros((planes, planes)), np.empty(planes)
    degrees = carry(cells[:, at[0] : at[1], at[2] : at[3]].copy(), levels, size, covariance)
    for p in range(planes):
        standard[p] = math.sqrt(covariance[p, p])
    for p in range(planes):
        for q in range(planes):
            together = (standard[p] or 1.0) * (standard[q] or 1.0)
            covariance[p, q] /= together
    return at, standard, covariance, degrees
