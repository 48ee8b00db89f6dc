"""Signs that a pile of tiles on one level is a ceiling, and not a white thing."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.range.ceiling_kernels import full_cells, met_around, outline
from overlays.measure.range.tile_areas import Areas

FloatArray = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Levels = npt.NDArray[np.float32]

LEAST_TILES = 12
"""Fewest tiles that are evidence of anything."""
CELL, LEAST_CELLS = 8, 6
"""Tiles along a cell over which noise is averaged out, and fewest cells to judge by."""
MOST_UNEVEN = 0.4
"""Most deviation of the cells' means against that of tiles: 1/8 for noise that is free from tile to
tile, 0.3 where it is blurred by as much as half a tile, 0.6 and more for a fading sky."""
CONTACT_LEVELS = 40.0
"""Band beneath a pile in which the picture is looked for that runs up to it: 4.6 % of video level,
half a stop of a log curve."""
LEAST_CONTACT = 0.12
"""Share of a pile's surroundings that must run up to it. A thing with an edge has next to none:
only the tiles that its edge cuts lie between it and the ground."""
MOST_GAP = 8.0
"""Most by which the upper tenth of what runs up to a pile ends beneath it, two codes of 8 bits:
the next step of a wedge lies beneath its last one with nothing between."""
RING = 4
"""Tiles around a pile that are its surroundings."""
NEAR, FAR = 2, 5
"""Tiles from a pile, behind those that an edge would cut, at which the picture is compared."""
MOST_AROUND = 5
"""Neighbours in a pile from which on a tile is one of its outliers, and not beside it: one on a
straight edge has three."""
LEAST_FALL, LEAST_LEVELS = 0.4, 10.0
"""What the picture must still fall between two and five tiles from a pile, against what it has
fallen up to there, and in levels. A lens spreads an edge over less than two tiles, and its flare
around a lamp lies stops beneath it."""
LEAST_APART, MOST_APART = 24.0, 160.0
"""How far another channel must lie beneath its highest on a pile, in levels: a third of a stop of a
log curve to two. More than shade does where this channel stays on one level; less than from a
bar or an ink to another."""
LEAST_OTHERS = 0.1
"""Share of a pile that must lie there."""


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The tiles of a pile, and how the others lie to it.

    Attributes
    ----------
    inside:
        Tiles that lie on the pile's level.
    core:
        Those of them whose neighbours all do.
    away:
        Steps of a tile to the nearest one inside, along rows, columns or diagonals; held at six.
    """

    inside: Mask
    core: Mask
    away: npt.NDArray[np.uint8]


def outline_of(inside: Mask) -> Outline:
    """How all tiles lie to those of a pile.

    Parameters
    ----------
    inside:
        (rows, columns) bool, the tiles of the pile.

    Returns
    -------
    Outline
        Its arrays have the same shape.

    Examples
    --------
    >>> inside = np.zeros((5, 7), np.bool_)
    >>> inside[1:4, 1:4] = True
    >>> found = outline_of(inside)
    >>> int(found.core.sum()), found.away[2].tolist()
    (1, [1, 0, 0, 0, 1, 2, 3])
    """
    out = Outline(inside, np.empty_like(inside), np.empty(inside.shape, np.uint8))
    outline(inside.view(np.uint8), FAR, out.away, out.core.view(np.uint8))
    return out


def is_flat(tiles: Levels, inside: Mask, deviation: float, least: float) -> bool:
    """Whether means over large cells of a pile differ far less than its tiles do.

    Noise is averaged out in them; a sky that fades from one level to another stays as it is.

    Parameters
    ----------
    tiles:
        (rows, columns) float32 levels of a channel.
    inside:
        (rows, columns) bool, the tiles of the pile.
    deviation, least:
        Of the pile's tiles, and what rounding alone makes of it, in levels.

    Returns
    -------
    bool
        No, where there are too few tiles.

    Examples
    --------
    >>> level = np.full((48, 48), 900.0, np.float32)
    >>> slope = level + np.arange(48, dtype=np.float32)
    >>> everywhere = np.ones((48, 48), np.bool_)
    >>> is_flat(level, everywhere, 1.0, 0.1), is_flat(slope, everywhere, float(slope.std()), 0.1)
    (True, False)
    """
    means = full_cells(tiles, inside, CELL)
    if means.size < LEAST_CELLS:
        return _is_even_beside(tiles, inside, deviation, least)
    uneven = 1.483 * float(np.median(np.abs(means - np.median(means))))
    return uneven <= max(1.5 * least, MOST_UNEVEN * deviation)


def _is_even_beside(tiles: Levels, inside: Mask, deviation: float, least: float) -> bool:
    """The same of a small pile, whose neighbouring tiles differ as much as all of them."""
    both = inside[:, 1:] & inside[:, :-1]
    beside = np.abs(tiles[:, 1:][both] - tiles[:, :-1][both])
    if beside.size < LEAST_TILES:
        return False
    noise = float(np.median(beside)) / (0.674 * 2.0**0.5)
    return bool(deviation <= max(1.5 * least, 2.0 * noise))


def runs_up(tiles: Levels, pile: Outline, level: float, deviation: float) -> bool:
    """Whether the picture around a pile runs up to it instead of ending at an edge.

    Either much of what surrounds it lies just beneath it without being an edge, or the picture
    goes on falling outwards behind the tiles that an edge would cut.

    Parameters
    ----------
    tiles:
        (rows, columns) float32 levels of a channel.
    pile:
        The tiles of the pile, (rows, columns), and how the others lie to them.
    level, deviation:
        Of the pile, in levels.

    Returns
    -------
    bool
        No, where nothing surrounds it.

    Examples
    --------
    >>> ramp = np.minimum(np.tile(np.arange(48.0) * 40.0, (48, 1)), 900.0).astype(np.float32)
    >>> step = np.where(ramp < 900.0, 100.0, 900.0).astype(np.float32)
    >>> [runs_up(tiles, outline_of(tiles >= 900.0), 900.0, 1.0) for tiles in (ramp, step)]
    [True, False]
    """
    band = max(CONTACT_LEVELS, 9.0 * deviation)
    limits = (level - 3.0 * deviation, level - band, band)
    around, met = met_around(tiles, pile.inside, pile.away, limits, (RING, MOST_AROUND))
    if met.size >= LEAST_TILES and met.size >= LEAST_CONTACT * around:
        gap = level - 3.0 * deviation - float(np.quantile(met, 0.9))
        if gap <= max(MOST_GAP, 3.0 * deviation):
            return True
    near, far = (_shell(tiles, pile, away) for away in (NEAR, FAR))
    if near is None or far is None:
        return False
    return near - far >= max(LEAST_FALL * (level - near), LEAST_LEVELS)


def others_vary(areas: Areas, channel: int, pile: Outline, deviation: float) -> bool:
    """Whether another channel takes other levels on a pile of this one.

    Light that changes changes all channels: of things with one level of R' and several of G' there
    are next to none, and of things that are clipped in R' first many. What differs by much more is
    another colour, which bars and print may have on one level of a channel.

    Parameters
    ----------
    areas:
        The frame's.
    channel:
        0 to 2 for R', G', B': that of the pile.
    pile:
        The tiles of the pile, (rows, columns), and how the others lie to them.
    deviation:
        Of them, in levels.

    Returns
    -------
    bool
        No, where there are too few tiles.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import colour_frame
    >>> areas = look_at(colour_frame([[(90, 50, 50), (90, 60, 50)]], cell=32), VIDEO)
    >>> others_vary(areas, 0, outline_of(areas.tiles[0] > 0.0), deviation=1.0)
    True
    """
    core = np.flatnonzero(pile.core)
    if core.size < 4 * LEAST_TILES:
        return False
    for other in range(3):
        if other != channel:
            levels = areas.tiles[other].reshape(-1)[core]
            beneath = float(np.quantile(levels, 0.9)) - levels
            least = max(LEAST_APART, 8.0 * deviation)
            others = np.count_nonzero((beneath >= least) & (beneath <= MOST_APART))
            if others >= max(LEAST_OTHERS * levels.size, 2 * LEAST_TILES):
                return True
    return False


def _shell(tiles: Levels, pile: Outline, away: int) -> float | None:
    """Median level of the tiles that lie `away` from a pile; None where there are few."""
    found = tiles[pile.away == away]
    return float(np.median(found)) if found.size >= LEAST_TILES else None
