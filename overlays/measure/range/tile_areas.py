"""R', G' and B' of a frame in small areas: what things and ceilings are found in.

A single pixel is noise or a hot pixel; a tile of some 4x4 pixels of a picture of 1920x1080 is the
smallest thing looked for. Thin tubes and small lamps hold whole tiles where a square window of the
size that matters would hold mostly ground.
"""

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.kernels import flatten
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.area_counts import Tiles, look_at_areas
from overlays.sharing.crew import ALONE, Crew, swaths
from overlays.signal.frame import Frame
from overlays.signal.levels import Scale, luma_scale
from overlays.signal.signal import Components, Signal

TILES_ACROSS = 360
"""Tiles along the edge of a square picture of as many pixels: 4x4 pixels of 1920x1080, so that a
tube nine pixels thick holds whole tiles wherever it lies."""

LEVELS = 1344
"""Levels told apart: 10-bit codes up to 145 %. Saturated colours decode to R', G' or B' above the
highest code."""


@dataclass(frozen=True, slots=True, eq=False)
class Areas:
    """Levels of one frame's blocks and tiles, on the scale of a 10-bit code of the same range.

    Attributes
    ----------
    edge:
        Pixels along the edge of a block; a tile is two by two blocks.
    tiles:
        (3, tile rows, tile columns) R', G', B' of each tile: the mean of the middle two of its
        four blocks, which a hot pixel does not move.
    luma:
        (tile rows, tile columns), likewise.
    across:
        (3, tile rows, tile columns) differences across the diagonals of the four blocks: noise,
        since a gradient cancels. Of white noise they have the deviation of two pixels by `edge`.
    peaks:
        (3, tile rows, tile columns) highest level that all pixels of one block of a tile reach:
        what a small lamp shows that fills no tile, and a hot pixel does not.
    scale:
        The code scale of the levels.
    pixels:
        Of the picture.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> areas = look_at(grey_frame([[502]], cell=8), VIDEO)
    >>> areas.tile, areas.percent(502.0), areas.level(50.0)
    (2, 50.0, 502.0)
    """

    edge: int
    tiles: Tiles
    luma: Tiles
    across: Tiles
    peaks: Tiles
    scale: Scale
    pixels: int

    @property
    def tile(self) -> int:
        """Edge of a tile in pixels."""
        return 2 * self.edge

    def percent(self, level: float) -> float:
        """Video level in percent of a level.

        Parameters
        ----------
        level:
            On the scale of a 10-bit code.

        Returns
        -------
        float
            Percent.
        """
        return (level - self.scale.zero) / self.scale.span * 100.0

    def level(self, percent: float) -> float:
        """Level of a video level in percent.

        Parameters
        ----------
        percent:
            Of video level.

        Returns
        -------
        float
            On the scale of a 10-bit code.
        """
        return self.scale.zero + self.scale.span * percent / 100.0


def block_edge(rows: int, columns: int) -> int:
    """Edge of a block in pixels: 1, or even so that blocks begin where chroma samples do.

    Parameters
    ----------
    rows, columns:
        Of the picture, in pixels.

    Returns
    -------
    int
        Pixels.

    Examples
    --------
    >>> block_edge(1080, 1920), block_edge(2160, 3840), block_edge(480, 640)
    (2, 4, 1)
    """
    wanted = math.sqrt(rows * columns) / (2.0 * TILES_ACROSS)
    return 1 if wanted < 1.5 else 2 * round(wanted / 2.0)


def ten_bit_scale(signal: Signal) -> Scale:
    """The scale of the levels.

    Parameters
    ----------
    signal:
        The feed's, whose range it keeps.

    Returns
    -------
    Scale
        Of 10-bit codes of luma.

    Examples
    --------
    >>> ten_bit_scale(Signal(bits=8))
    Scale(zero=64.0, span=876.0, top=1023)
    """
    return luma_scale(Signal(bits=10, range=signal.range))


def code_step(signal: Signal) -> float:
    """One code of a feed on the scale of the levels.

    Parameters
    ----------
    signal:
        The feed's.

    Returns
    -------
    float
        Levels: 4 for 8 bits of limited range, 1 for 10 bits.

    Examples
    --------
    >>> from overlays.signal.signal import Signal
    >>> code_step(Signal(8)) / code_step(Signal(10))
    4.0
    """
    return luma_scale(Signal(bits=10, range=signal.range)).span / luma_scale(signal).span


def look_at(frame: Frame, yard: Yardstick, crew: Crew = ALONE) -> Areas:
    """Look at every pixel of a frame in blocks and tiles.

    Up to one row and column of blocks at the right and lower edge belongs to no tile.

    Parameters
    ----------
    frame:
        Native codes, at least 2x2 pixels; any layout.
    yard:
        Resolved for its signal.
    crew:
        Who looks; what is seen is the same whoever does.

    Returns
    -------
    Areas
        Levels of its tiles.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> look_at(grey_frame([[64, 940]], cell=2), VIDEO).luma.round(3).tolist()
    [[64.0, 940.0]]
    """
    edge = min(block_edge(frame.rows, frame.columns), frame.rows // 2, frame.columns // 2)
    rows, columns = frame.rows // (2 * edge), frame.columns // (2 * edge)
    scale = ten_bit_scale(yard.signal)
    middles = np.empty((4, rows, columns), np.float32)
    across = np.empty((4, rows, columns), np.float32)
    peaks = np.empty((3, rows, columns), np.float32)
    subsampling = frame.signal.subsampling
    planes = flatten(frame.planes[0]), flatten(frame.planes[1]), flatten(frame.planes[2])
    shape = columns, edge, subsampling.rows, subsampling.columns
    affine = _affine(yard, scale), yard.signal.components is Components.RGB
    tiles = middles, across, peaks
    crew.together(
        [
            partial(look_at_areas, planes, cut, shape, affine, tiles)
            for cut in swaths(rows, crew.workers)
        ]
    )
    pixels = frame.rows * frame.columns
    return Areas(edge, middles[:3], middles[3], across[:3], peaks, scale, pixels)


def _affine(yard: Yardstick, scale: Scale) -> npt.NDArray[np.float64]:
    """(4, 4): levels of R', G', B' and luma from the three stored samples and 1."""
    matrix = yard.decoding.matrix * scale.span
    rows = np.vstack((matrix, yard.weights @ matrix))
    return np.ascontiguousarray(
        np.column_stack((rows, scale.zero - rows @ yard.decoding.zero)), dtype=np.float64
    )
