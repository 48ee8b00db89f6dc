"""Signs that a pile of tiles on one level is a ceiling, and not a white thing."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.area_counts import count_pieces
from overlays.measure.range.areas import Areas, code_step
from overlays.measure.range.ceiling_kernels import full_cells, met_around, noise_beneath, outline
from overlays.signal.curves import linear_to_stops

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
QUIET = 0.7
"""Noise on the pile against the noise that light of its level would have."""
SHAPE = 7.0
"""Most ratio of the 90 % to the 25 % quantile for differences to be taken for noise: that of a
normal distribution is 1.645 / 0.319 = 5.2, texture has a longer tail."""
LEAST_APART, MOST_APART = 24.0, 160.0
"""How far another channel must lie beneath its highest on a pile, in levels: a third of a stop of a
log curve to two. More than shade does where this channel stays on one level; less than from a
bar or an ink to another."""
LEAST_OTHERS = 0.1
"""Share of a pile that must lie there."""
REACH_STOPS = 3.0
"""How far beneath a pile noise is compared with it."""
DEAD = 0.97
"""Share of a pile that must be the same code in all three channels to be called dead flat."""
NOISE_LEVELS, NOISE_STEPS = 1.3, 0.5
"""Least mean difference of a picture's noisiest quarter for it to have noise, for blocks of one
pixel, in levels and in codes of the feed. The bench has 2.0 levels or more with its noise in any
layout and exposure, 0.9 or less without; rounding alone makes 0.46 of a code."""
LOWER = 0.75
"""Share of differences, from below, that are averaged: the rest may be edges. The mean of these is
0.55 of that of all for a normal distribution."""
SEVERAL = 3
"""Things apart from each other that stand on one code from which on that is no chance: two lamps
of one kind may."""
LEAST_OWN = 0.15
"""Noise that a pile must have itself for it to be called quieter, against what is expected of its
level: a thing that was drawn without any, and one whose noise rounding swallows, have less."""
EVERY = 3
"""Every so many columns of tiles are enough to judge noise by."""
ENOUGH = 8192
"""Of more tiles than this every so many are taken: their median is sure to 1 in 100."""


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
    """How all tiles lie to those of a (rows, columns) mask."""
    out = Outline(inside, np.empty_like(inside), np.empty(inside.shape, np.uint8))
    outline(inside.view(np.uint8), FAR, out.away, out.core.view(np.uint8))
    return out


def is_flat(tiles: Levels, inside: Mask, deviation: float, least: float) -> bool:
    """Whether means over large cells of a pile differ far less than its tiles do.

    Noise is averaged out in them; a sky that fades from one level to another stays as it is.
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


def suspicions(areas: Areas, yard: Yardstick, pile: Outline, tiles: Levels, level: float) -> int:
    """How many reasons there are to think that a pile is clipped, though a thing may be drawn so.

    All channels stand on one code throughout it, and the picture around it has noise; or several
    things that are apart stand on that same code. None is lit that evenly, and no two alike.
    """
    core = np.flatnonzero(pile.core)
    if core.size < LEAST_TILES:
        return 0
    same = np.ones(core.size, np.bool_)
    for channel in range(3):
        levels = areas.tiles[channel].reshape(-1)[core]
        same &= np.abs(levels - np.median(levels)) < 0.02
        same &= np.abs(areas.across[channel].reshape(-1)[core]) < 0.02
    if same.mean() < DEAD:
        return 0
    step = code_step(yard.signal)
    has_noise = _has_noise(areas, step, *_noise_beneath(areas, pile, tiles, level))
    return int(has_noise) + int(count_pieces(pile.away <= 1, LEAST_TILES) >= SEVERAL)


def _has_noise(areas: Areas, step: float, differences: Levels, levels: Levels) -> bool:
    """Whether a picture has noise where it is noisiest, by quarters of its levels."""
    if differences.size < 10 * LEAST_TILES:
        return False
    limits = np.quantile(levels, (0.25, 0.5, 0.75))
    quarter = np.searchsorted(limits, levels)
    least = max(NOISE_LEVELS, NOISE_STEPS * step) / areas.edge
    for number in range(4):
        lower = np.sort(differences[quarter == number])
        lower = lower[: int(LOWER * lower.size)]
        if lower.size >= LEAST_TILES and float(lower.mean()) / 0.55 >= least:
            return True
    return False


def is_quieter(areas: Areas, yard: Yardstick, channel: int, pile: Outline, level: float) -> bool:
    """Whether noise is missing on a pile that light a little beneath it has.

    Noise of light falls at the most as the root of the light, counted in stops (that of photons);
    so what is seen beneath says how much there must be at least at the pile's level.
    """
    tiles = areas.tiles[channel]
    within = np.abs(areas.across[channel][pile.core])
    if within.size < LEAST_TILES:
        return False
    top = yard.carried.percent_to_stops(areas.percent(level))
    lowest = areas.level(yard.carried.stops_to_percent(top - REACH_STOPS))
    noise, levels = _noise_beneath(areas, pile, tiles, level, channel)
    near = levels >= lowest
    noise, levels = noise[near], levels[near]
    if noise.size < 10 * LEAST_TILES:
        return False
    expected = noise * _fall_of_noise(areas, yard, levels, level)
    low, middle, high = np.quantile(expected, (0.25, 0.5, 0.9))
    seen = float(np.median(noise)) >= 0.5 * code_step(yard.signal)
    own = float(np.median(within))
    quiet = LEAST_OWN * middle <= own <= QUIET * middle
    return bool(seen and high <= SHAPE * low and quiet)


def _noise_beneath(
    areas: Areas, pile: Outline, tiles: Levels, level: float, channel: int = 1
) -> tuple[Levels, Levels]:
    """Differences and levels of smooth tiles beneath a pile and away from it."""
    limits = (level - LEAST_LEVELS, CONTACT_LEVELS)
    found: tuple[Levels, Levels] = noise_beneath(
        tiles, areas.across[channel], pile.away, limits, EVERY
    )
    thin = max(1, found[0].size // ENOUGH)
    return found[0][::thin], found[1][::thin]


def _shell(tiles: Levels, pile: Outline, away: int) -> float | None:
    """Median level of the tiles that lie `away` from a pile; None where there are few."""
    found = tiles[pile.away == away]
    return float(np.median(found)) if found.size >= LEAST_TILES else None


def _fall_of_noise(
    areas: Areas, yard: Yardstick, levels: npt.NDArray[np.float32], top: float
) -> FloatArray:
    """Least noise in codes at a level against that at each of others, by the root of the light."""
    whole = np.arange(int(levels.min()), round(top) + 2, dtype=np.float64)
    stops = linear_to_stops(yard.carried.light((whole - areas.scale.zero) / areas.scale.span))
    slope = 1.0 / np.gradient(stops)  # levels a stop
    there = np.interp(levels, whole, slope)
    away = float(np.interp(top, whole, stops)) - np.interp(levels, whole, stops)
    fall: FloatArray = float(np.interp(top, whole, slope)) / there * 2.0 ** (-0.5 * away)
    return fall
