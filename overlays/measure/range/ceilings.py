"""Where each channel of a camera gives out: the pile of tiles on one level, judged as a whole.

A sensor that clips sends one level for all light above it. What comes after it (rounding, noise,
a codec, the matrix to luma and chroma) spreads that level a little, so the pile is looked at as a
distribution. A white thing piles up too: a pile is sure only with one of the signs of
`ceiling_signs` and `ceiling_noise` that no thing has. The picture around it runs up to it and stops
dead, or it has one level whatever the other channels do. Without them a flat pile that nothing
exceeds stays a doubt, which one picture cannot settle: a softbox without noise looks as a clipped
window does.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.ceiling_kernels import settled
from overlays.measure.range.ceiling_noise import is_quieter, suspicions
from overlays.measure.range.ceiling_signs import (
    LEAST_TILES,
    Outline,
    is_flat,
    others_vary,
    outline_of,
    runs_up,
)
from overlays.measure.range.things import reached
from overlays.measure.range.tile_areas import Areas, code_step
from overlays.signal.curves import Family

Levels = npt.NDArray[np.float32]

ALL_OVER = 0.9
"""Share of the picture from which on a pile has nothing beside it that it could be told from: a
card that fills the picture looks no different."""
LEAST_SHARE = 0.0025
"""Share of the picture's tiles that must lie in a pile: half of 0.5 % of the picture, since those
on its edge are mixed with what is beside it."""
MOST_ABOVE = 0.06
"""Tiles above a pile against those in it: overshoot of chroma and of sharpening at its edge."""
LEAST_STEEPNESS = 2.2
"""Tiles in the pile against those in twice as wide a band beneath it. A smooth thing that is
brightest in its middle has half as many (its level falls as the square of the way), a very even
one 1.4 times as many (as the fourth power, whose share within a level grows as its root)."""
WHITE_STOPS = 2.5
"""A white of 90 % reflectance lies log2(0.9 / 0.18) = 2.3 stops above mid-grey where the light is
as it should be: a white card and a white chip are no reason for doubt."""
BOTH = 2
"""Reasons for suspicion that make a pile sure: no noise where all else has some, and several things
on one code."""
SAME_LEVELS = 5.0
"""Ceilings no further apart are one: rounding of three 8-bit planes carried to R' or B'."""
WIDEST = 10.0
"""Most deviation of a pile's tiles, in levels: noise of 1.2 codes of 8 bits in luma and chroma is
1.2 sqrt(1 + 1.86^2) codes of B' with BT.709, 10 levels where a tile has one chroma sample."""


@dataclass(frozen=True, slots=True)
class Pile:
    """A ceiling of one channel: its level, its tiles' deviation, both in levels, and its share.

    One that `is_sure` has a sign that no white thing has; else it may be a thing lit very evenly.
    It `is_suspect` where few things are lit as evenly as that.
    """

    level: float
    deviation: float
    share: float
    is_sure: bool = True
    is_suspect: bool = False


def find_piles(
    areas: Areas, yard: Yardstick, known: tuple[float | None, ...] = (None, None, None)
) -> tuple[Pile | None, Pile | None, Pile | None]:
    """The ceiling of R', G' and B' of a frame, each None where none is established.

    A ceiling lies above mid-grey and below the clip that is known; at the clip it is no news. A
    pile on a level that is `known` to be a ceiling needs no other sign.

    Parameters
    ----------
    areas:
        The frame's.
    yard:
        What it is measured with.
    known:
        Levels of R', G', B', on the scale of `areas`; None where none is known.

    Returns
    -------
    tuple[Pile | None, Pile | None, Pile | None]
        Of R', G', B'.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> thing, ramp = [[200, 800], [200, 200]], [[min(200 + 20 * c, 800) for c in range(48)]]
    >>> for picture in (grey_frame(thing, 32), grey_frame(ramp * 24, 4)):
    ...     red, _, _ = find_piles(look_at(picture, LOG), LOG)
    ...     print(red.level, red.is_sure)  # a thing has an edge; light runs up to a ceiling
    800.0 False
    800.0 True
    """
    found = [_find(areas, yard, channel, known[channel]) for channel in range(3)]
    clipped = np.zeros(areas.luma.shape, np.bool_)
    for pile, tiles in zip(found, areas.tiles, strict=True):
        if pile is not None and pile.is_sure:
            clipped |= np.abs(tiles - pile.level) <= 3.0 * pile.deviation
    if clipped.any():
        for channel in range(3):
            before = found[channel]
            if before is None or not before.is_sure:
                found[channel] = _find(areas, yard, channel, known[channel], clipped) or before
    return found[0], found[1], found[2]


def _find(
    areas: Areas,
    yard: Yardstick,
    channel: int,
    before: float | None,
    clipped: npt.NDArray[np.bool_] | None = None,
) -> Pile | None:
    """The ceiling of a channel; `clipped` are tiles on that of another.

    The light of those differs, though their codes do not: a channel that is flat there as well has
    given out as well.
    """
    tiles = areas.tiles[channel]
    known = areas.level(yard.clip_percent - yard.clip_margin_percent) - 4.0
    grey = areas.level(yard.carried.stops_to_percent(0.0))
    top = reached(tiles, 0.2 * LEAST_SHARE * tiles.size)
    bright = np.sort(tiles[tiles > max(grey, top - 14.0 * WIDEST)])
    if bright.size - int(np.searchsorted(bright, known)) >= LEAST_SHARE * tiles.size:
        return None  # what reaches the known clip has passed everything beneath it
    doubt: Pile | None = None
    for pile in _top_piles(bright, tiles.size, code_step(yard.signal)):
        if pile.level - 9.0 * pile.deviation < grey:
            continue  # what lies beneath it is not looked at, so its steepness cannot be seen
        steepness = 0.0 if pile.level >= known else _steepness(bright, pile)
        if steepness < 1.0:
            continue
        if before is not None and abs(pile.level - before) <= SAME_LEVELS:
            return pile
        inside = np.abs(tiles - pile.level) <= 3.0 * pile.deviation
        if not is_flat(tiles, inside, pile.deviation, max(0.5 * code_step(yard.signal), 0.5)):
            continue
        if clipped is not None:
            if 2 * np.count_nonzero(inside & clipped) >= np.count_nonzero(inside):
                return pile
            continue
        judged = _judged(areas, yard, channel, (pile, inside, steepness), doubt)
        if judged is not None and judged.is_sure:
            return _without_rest(judged, doubt)
        doubt = judged
    return doubt


def _without_rest(pile: Pile, finer: Pile | None) -> Pile:
    """A sure pile, at the level of the finer one in it that has most of its tiles.

    Looked at coarsely, what the picture runs up to is taken together with what lies beneath it: the
    sign is that of the ceiling, the level is too low.
    """
    if finer is None:
        return pile
    is_within = abs(finer.level - pile.level) <= 3.0 * pile.deviation
    has_most = 2.0 * finer.share >= pile.share and 2.0 * finer.deviation <= pile.deviation
    return replace(finer, is_sure=True, is_suspect=False) if is_within and has_most else pile


def _judged(
    areas: Areas,
    yard: Yardstick,
    channel: int,
    found: tuple[Pile, npt.NDArray[np.bool_], float],
    doubt: Pile | None,
) -> Pile | None:
    """A flat pile, if it is sure or the first in doubt; else the one that was in `doubt` before.

    `found` are the pile, its tiles and its steepness.
    """
    pile, inside, steepness = found
    if _is_nominal_peak(areas, yard, pile):
        return pile
    outline = outline_of(inside)
    if _is_sure(areas, yard, channel, pile, outline, steepness):
        return pile
    white = areas.level(yard.carried.stops_to_percent(WHITE_STOPS))
    if doubt is not None or steepness < LEAST_STEEPNESS or pile.level <= white:
        return doubt
    reasons = suspicions(areas, yard, outline, areas.tiles[channel], pile.level)
    return pile if reasons >= BOTH else replace(pile, is_sure=False, is_suspect=reasons > 0)


def _is_sure(
    areas: Areas,
    yard: Yardstick,
    channel: int,
    pile: Pile,
    outline: Outline,
    steepness: float,
) -> bool:
    """Whether a flat pile has one of the signs that no thing has."""
    # With what its noise puts beneath it: by the steps of codes a pile may be a part of the card.
    near = np.abs(areas.tiles[channel] - pile.level) <= 9.0 * pile.deviation
    if np.count_nonzero(near) > ALL_OVER * near.size:
        return False
    if others_vary(areas, channel, outline, pile.deviation):
        return True
    if steepness < LEAST_STEEPNESS:
        return False
    return runs_up(areas.tiles[channel], outline, pile.level, pile.deviation) or is_quieter(
        areas, yard, channel, outline, pile.level
    )


def _is_nominal_peak(areas: Areas, yard: Yardstick, pile: Pile) -> bool:
    """Whether a pile of standard gamma lies at 100 %, where many cameras end it.

    Common practice, no source: super-white is a setting that may be off.
    """
    near = max(SAME_LEVELS / 2.0, pile.deviation)
    standard = yard.carried.curve.family is Family.STANDARD
    return standard and abs(pile.level - areas.level(100.0)) <= near


def _between(bright: Levels, low: float, high: float) -> Levels:
    """Those of sorted levels from `low` to `high`."""
    first = int(np.searchsorted(bright, low, side="left"))
    return bright[first : int(np.searchsorted(bright, high, side="right"))]


def _steepness(bright: Levels, pile: Pile) -> float:
    """Tiles in a pile against those just beneath it; 0 where more than a little lies above."""
    reach = 3.0 * pile.deviation
    mass = _between(bright, pile.level - reach, pile.level + reach).size
    beneath = _between(bright, pile.level - 3.0 * reach, pile.level - reach).size
    above = _between(bright, pile.level + reach, np.inf).size
    return mass / max(beneath, 1) if above <= MOST_ABOVE * mass else 0.0


def _top_piles(bright: Levels, tiles: int, step: float) -> Iterator[Pile]:
    """The uppermost heaps of sorted levels, looked at finely, then more and more coarsely."""
    needed = max(LEAST_SHARE * tiles, LEAST_TILES)
    if bright.size < needed:
        return
    top = float(bright[-max(round(0.2 * needed), 1)])  # few tiles may stand above a pile
    near = _between(bright, top - 4.0 * WIDEST, np.inf)
    first = round(float(near[0])) - 1
    counts = np.bincount(np.rint(near).astype(np.int64) - first)
    seen: list[float] = []
    for wide in (1, 4, 12):
        size = max(round(step * wide), 3)
        heaped = np.convolve(counts, np.ones(size), "same")[: counts.size]
        for middle in first + _peaks(heaped, size, needed):
            level, deviation, held = settled(
                bright,
                (float(middle), max(0.5 * size, 1.0)),
                (max(0.5 * step, 0.5), WIDEST, LEAST_TILES),
            )
            if held == 0 or any(abs(level - other) < 0.5 for other in seen):
                continue
            seen.append(level)
            if held >= LEAST_SHARE * tiles:
                yield Pile(level, deviation, held / tiles)


def _peaks(heaped: npt.NDArray[np.float64], size: int, needed: float) -> npt.NDArray[np.int64]:
    """Where a heap holds enough and is the highest around, from above; at most three."""
    padded = np.pad(heaped, size, constant_values=0.0)
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * size + 1).max(axis=1)
    return np.flatnonzero((heaped >= around) & (heaped >= 0.4 * needed))[::-1][:3]
