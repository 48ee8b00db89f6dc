"""How far noise moves the mean of a spot: the variance of a mean of samples that are correlated.

The variance of a mean over n x n samples is the sum of their autocovariance, not sigma^2 / n^2.
It is judged here from the means of blocks of 2, 4, 8 ... pixels, in the spot and in the flat
surroundings that it lies in; the page on the derivation is in `overlays.measure.spot.uncertainty`.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import flatten
from overlays.measure.spot.cell_kernels import fill_cells
from overlays.measure.spot.noise_kernels import carry, see
from overlays.signal.frame import Frame

FloatArray = npt.NDArray[np.float64]
Rows = tuple[int, int]
"""(first, one behind the last) row or column."""

SURE = 1.3
"""Widening of the noise term. What is stated is to hold for every kind of noise and not for most:
the growth beyond the largest block is carried on and not seen. 1.3 leaves the half width at two
thirds of the twice that noise forces which it may be at most."""

LOOK = 96
"""Luma pixels each way that noise is judged from where a spot is smaller and lies in the flat."""
SEED = 8
"""Luma pixels each way that are looked at however unlike they are, where a spot is smaller."""
_MOST_CELLS = 64
"""Cells of a spot each way: of larger spots, cells are larger."""
_LEAST_CODES = 0.3
"""Standard deviation of rounding alone (1/sqrt 12): less is not seen in what looks alike."""


@dataclass(frozen=True, slots=True)
class MeanNoise:
    """What noise does to the means of planes over a spot.

    Attributes
    ----------
    standard:
        (planes,) standard errors of the means, in codes.
    correlation:
        (planes, planes) of the errors of the means.
    degrees:
        (planes,) degrees of freedom behind them.
    around:
        Luma (rows, columns) that were looked at.
    """

    standard: FloatArray
    correlation: FloatArray
    degrees: FloatArray
    around: tuple[Rows, Rows]


def mean_noise(cells: FloatArray, cell: int, pixels: int) -> tuple[FloatArray, FloatArray]:
    """(covariance of the means over a spot of `pixels`, degrees of freedom) from cells.

    Parameters
    ----------
    cells:
        (planes, rows, columns) mean codes of cells of the flat region, at least 2 x 2.
    cell:
        Edge of a cell in pixels.
    pixels:
        Of the spot.

    Returns
    -------
    (planes, planes) in square codes, and (planes,) degrees of freedom.

    Examples
    --------
    >>> pixels = np.random.default_rng(1).normal(0.0, 1.0, (1, 64, 64))  # one code of noise
    >>> covariance, _ = mean_noise(pixels, cell=1, pixels=100)
    >>> round(float(np.sqrt(covariance[0, 0])), 1)  # 1 / sqrt(100)
    0.1
    """
    covariance = np.zeros((cells.shape[0], cells.shape[0]))
    degrees = carry(cells, _levels(cell, pixels), (float(cell), float(pixels)), covariance)
    return covariance, degrees


def _levels(cell: int, pixels: int) -> int:
    """Sizes of blocks, from a cell on, up to that of a spot."""
    return 1 + max(0, int(math.log2(max(1.0, math.sqrt(pixels) / cell)) + 1e-9))


def spot_noise(frame: Frame, rows: Rows, columns: Rows) -> MeanNoise:
    """Noise of the means of a frame's planes over a rectangle of luma pixels.

    Parameters
    ----------
    frame:
        Native codes; any layout.
    rows, columns:
        First, and one behind the last.

    Returns
    -------
    MeanNoise
        In codes; 0 with one degree of freedom where there is too little to see it by.

    Examples
    --------
    >>> from overlays.signal.example_frames import grey_frame
    >>> noise = spot_noise(grey_frame([[420]], cell=32), (8, 24), (8, 24))
    >>> noise.standard.tolist(), noise.around
    ([0.0, 0.0, 0.0], ((0, 32), (0, 32)))
    """
    look = _look(rows, columns, (frame.rows, frame.columns))
    cell, top, left = look.cell, look.top, look.left
    if min(look.shape) < 2:
        return MeanNoise(np.zeros(3), np.eye(3), np.ones(3), (rows, columns))
    cells = np.empty((3, *look.shape))
    sub = frame.signal.subsampling
    fill_cells(
        (flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])),
        (top, left, cell, sub.rows, sub.columns),
        1.0 / (1 << frame.shift),
        cells,
    )
    pixels = (rows[1] - rows[0]) * (columns[1] - columns[0])
    at, standard, correlation, degrees = see(
        cells, look.seed, _LEAST_CODES, _levels(cell, pixels), (float(cell), float(pixels))
    )
    first_row, last_row, first_column, last_column = (cell * each for each in at.tolist())
    return MeanNoise(
        standard=standard,
        correlation=correlation,
        degrees=degrees,
        around=((top + first_row, top + last_row), (left + first_column, left + last_column)),
    )


class _Look(NamedTuple):
    """What is looked at for a rectangle: cells from a row and a column on, and the seed in them."""

    cell: int
    top: int
    left: int
    shape: tuple[int, int]
    seed: tuple[int, int, int, int]


@lru_cache(maxsize=256)
def _look(rows: Rows, columns: Rows, size: tuple[int, int]) -> _Look:
    """The cells for a rectangle in a picture of (rows, columns): spots stay where they are."""
    cell = _cell(rows[1] - rows[0], columns[1] - columns[0])
    down, window_rows = _spans(rows, size[0], cell)
    across, window_columns = _spans(columns, size[1], cell)
    top, left = window_rows[0], window_columns[0]
    shape = ((window_rows[1] - top) // cell, (window_columns[1] - left) // cell)
    seed = (
        (down[0] - top) // cell,
        (down[1] - top) // cell,
        (across[0] - left) // cell,
        (across[1] - left) // cell,
    )
    return _Look(cell, top, left, shape, seed)


def window_of(rows: Rows, columns: Rows, size: tuple[int, int]) -> tuple[Rows, Rows]:
    """All that `spot_noise` may look at for a rectangle.

    Parameters
    ----------
    rows, columns:
        First, and one behind the last, of luma.
    size:
        (rows, columns) of the picture.

    Returns
    -------
    tuple of Rows
        Rows and columns of luma, the rectangle itself among them.

    Examples
    --------
    >>> window_of((500, 520), (500, 520), (1080, 1920))
    ((462, 558), (462, 558))
    """
    look = _look(rows, columns, size)
    bottom = look.top + look.cell * look.shape[0]
    right = look.left + look.cell * look.shape[1]
    return (
        (min(look.top, rows[0]), max(bottom, rows[1])),
        (min(look.left, columns[0]), max(right, columns[1])),
    )


def _cell(height: int, width: int) -> int:
    """Edge of the cells that a rectangle is looked at in."""
    cell = 2
    while min(height, width) > cell * _MOST_CELLS:
        cell *= 2
    return cell


def _spans(span: Rows, size: int, cell: int) -> tuple[Rows, Rows]:
    """(seed, window) of whole cells: what is looked at in any case, and what may be."""
    seed = _whole(_widened(span, SEED, size), cell, size)
    margin = -(-max(0, LOOK - (span[1] - span[0])) // 2 // cell) * cell
    first = seed[0] - min(margin, seed[0] // cell * cell)
    last = seed[1] + min(margin, (size - seed[1]) // cell * cell)
    return seed, (first, last)


def _widened(span: Rows, least: int, size: int) -> Rows:
    """A span widened to `least` where it is shorter, within `size`."""
    missing = least - (span[1] - span[0])
    if missing <= 0:
        return span
    first = max(0, min(span[0] - missing // 2, size - least))
    return first, min(first + least, size)


def _whole(span: Rows, cell: int, size: int) -> Rows:
    """The whole cells inside a span, counted from an even row or column."""
    first = -(-span[0] // 2) * 2
    cells = (min(span[1], size) - first) // cell
    return first, first + max(cells, 0) * cell
