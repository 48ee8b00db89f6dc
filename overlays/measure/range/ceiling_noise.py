"""Signs of a ceiling that noise gives: what is clipped is more even than light of its level is."""

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.area_counts import count_pieces
from overlays.measure.range.ceiling_kernels import noise_beneath
from overlays.measure.range.ceiling_signs import (
    CONTACT_LEVELS,
    LEAST_LEVELS,
    LEAST_TILES,
    Outline,
)
from overlays.measure.range.tile_areas import Areas, code_step
from overlays.signal.curves import linear_to_stops

FloatArray = npt.NDArray[np.float64]
Levels = npt.NDArray[np.float32]

QUIET = 0.7
"""Noise on the pile against the noise that light of its level would have."""
SHAPE = 7.0
"""Most ratio of the 90 % to the 25 % quantile for differences to be taken for noise: that of a
normal distribution is 1.645 / 0.319 = 5.2, texture has a longer tail."""
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


def suspicions(areas: Areas, yard: Yardstick, pile: Outline, tiles: Levels, level: float) -> int:
    """How many reasons there are to think that a pile is clipped, though a thing may be drawn so.

    All channels stand on one code throughout it, and the picture around it has noise; or several
    things that are apart stand on that same code. None is lit that evenly, and no two alike.

    Parameters
    ----------
    areas, yard:
        The frame's, and what it is measured with.
    pile:
        The tiles of the pile, (rows, columns), and how the others lie to them.
    tiles:
        (rows, columns) float32 levels of its channel.
    level:
        Of the pile.

    Returns
    -------
    int
        How many: 0 to 2.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.range.ceiling_signs import outline_of
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> areas = look_at(grey_frame([[200, 800], [200, 200]], cell=32), VIDEO)
    >>> suspicions(areas, VIDEO, outline_of(areas.luma > 700.0), areas.tiles[1], 800.0)
    0
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

    Parameters
    ----------
    areas, yard:
        The frame's, and what it is measured with.
    channel:
        0 to 2 for R', G', B': that of the pile.
    pile:
        The tiles of the pile, (rows, columns), and how the others lie to them.
    level:
        Of the pile.

    Returns
    -------
    bool
        No, where too little lies beneath it to judge by.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.range.ceiling_signs import outline_of
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> areas = look_at(grey_frame([[200, 800], [200, 200]], cell=32), VIDEO)
    >>> is_quieter(areas, VIDEO, 1, outline_of(areas.luma > 700.0), 800.0)  # nothing has noise here
    False
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
