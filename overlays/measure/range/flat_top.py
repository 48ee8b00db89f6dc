"""Where the camera clips below the profile's clip: a picture that is flat at its top.

A sensor gives out below the top of most log curves. Nothing in the codes says so but a pile of
pixels on one level with none above: noise would have spread them.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.census import Census, histogram, level_scale
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.areas import Areas
from overlays.measure.range.ceilings import find_piles
from overlays.measure.spot.spot import SpotReading
from overlays.signal.levels import Scale, luma_scale
from overlays.signal.signal import Signal

LEAST_SHARE = 0.002
"""Share of the picture that must lie on the top level."""
MOST_ABOVE, MOST_BELOW = 0.03, 0.3
"""Pixels on the levels next to it against those on it; a noisy white card has more."""
LEAST_SPREAD = 0.3
"""Share of the picture that must lie on levels whose neighbours hold pixels too: in a picture
without noise everything is flat, and its top says nothing."""


@dataclass(frozen=True, slots=True)
class FlatTop:
    """Where R', G' and B' of a camera give out: its ceilings as they were found in the picture.

    Attributes
    ----------
    percents:
        Their levels in percent; None for a channel whose ceiling is not known.
    share:
        Share of the picture that lies on the largest.
    spreads:
        Deviation of what lies on each, in percent: what came after the ceiling.
    readings:
        In how many readings it was found.
    """

    percents: tuple[float | None, float | None, float | None]
    share: float
    spreads: tuple[float, float, float] = (0.0, 0.0, 0.0)
    readings: int = 1

    def margin(self, channel: int, yard: Yardstick) -> float:
        """How far below its ceiling a pixel of a channel may lie and still be on it, in percent."""
        return max(yard.clip_margin_percent, 3.0 * self.spreads[channel])

    def holds(self, spot: SpotReading, yard: Yardstick) -> str:
        """The channels ("RGB") of which a spot's mean lies at the flat top.

        A spot that lies on it in part is found by `on_ceiling.channels_on_ceiling`.
        """
        stored = np.array(spot.code) * (1 << yard.shift)
        nominal = yard.decoding.matrix @ (stored - yard.decoding.zero)
        step = 1.2 * 100.0 / _eight(yard).span
        return "".join(
            name
            for name, level, top in zip("RGB", nominal, self.percents, strict=True)
            if top is not None and 100.0 * level >= top - step
        )


def _eight(yard: Yardstick) -> Scale:
    return luma_scale(Signal(bits=8, range=yard.signal.range))


def _flat_level(counts: npt.NDArray[np.int64], pixels: int) -> int | None:
    """The level a channel is flat at, or None."""
    from_above = np.cumsum(counts[::-1])[::-1]
    reached = np.flatnonzero(from_above >= 0.5 * LEAST_SHARE * pixels)
    if reached.size == 0:
        return None
    level = int(reached[-1])
    pile = int(counts[level])
    above = int(from_above[level + 1]) if level + 1 < counts.size else 0
    below = int(counts[level - 1]) if level > 0 else 0
    flat = (
        pile >= LEAST_SHARE * pixels
        and above <= MOST_ABOVE * pile
        and below <= MOST_BELOW * pile
        and _spread(counts) >= LEAST_SPREAD * pixels
    )
    return level if flat else None


def _spread(counts: npt.NDArray[np.int64]) -> int:
    """Pixels on levels of which a neighbour holds at least a tenth as many."""
    beside = np.maximum(np.append(counts[1:], 0), np.insert(counts[:-1], 0, 0))
    return int(counts[beside * 10 >= np.maximum(counts, 1)].sum())


def find_flat_top(census: Census, yard: Yardstick) -> FlatTop | None:
    """The levels below the clip at which the picture is flat, or None where it is not.

    Parameters
    ----------
    census:
        With `Wants.RGB` channel by channel; with `Wants.LEVELS` alone luma stands for all three,
        which finds a flat top that is neutral.
    yard:
        Gives the clip: a channel that is flat there is clipped, and known to be.
    """
    if census.rgb is None:
        level_counts, scale = [histogram(census)], level_scale(census, yard.signal)
    else:
        level_counts = [channel.sum(axis=0, dtype=np.int64) for channel in census.rgb]
        scale = _eight(yard)
    known = yard.clip_percent - yard.clip_margin_percent - 100.0 / scale.span
    found: list[float | None] = []
    share = 0.0
    for counts in level_counts:
        level = _flat_level(counts, census.pixels)
        percent = None if level is None else (level - scale.zero) / scale.span * 100.0
        if level is None or percent is None or not 0.0 < percent < known:
            found.append(None)
            continue
        found.append(percent)
        share = max(share, float(counts[level]) / census.pixels)
    if not any(p is not None for p in found):
        return None
    red, green, blue = found if len(found) == 3 else found * 3
    return FlatTop((red, green, blue), share)


def flat_top_of(areas: Areas, yard: Yardstick) -> FlatTop | None:
    """The ceilings below the clip that a frame's tiles establish, or None.

    Better than `find_flat_top`: what surrounds a pile tells a ceiling from a white thing.
    """
    piles = find_piles(areas, yard)
    if all(pile is None for pile in piles):
        return None
    red, green, blue = (None if pile is None else areas.percent(pile.level) for pile in piles)
    spreads = [0.0 if p is None else 100.0 * p.deviation / areas.scale.span for p in piles]
    share = max(pile.share for pile in piles if pile is not None)
    return FlatTop((red, green, blue), share, (spreads[0], spreads[1], spreads[2]))


def joined(here: FlatTop | None, known: FlatTop | None) -> FlatTop | None:
    """Ceilings of a frame, and those known from earlier frames where it shows none."""
    if here is None or known is None:
        return known if here is None else here
    percents = [k if h is None else h for h, k in zip(here.percents, known.percents, strict=True)]
    spreads = [
        k if h is None else s
        for h, s, k in zip(here.percents, here.spreads, known.spreads, strict=True)
    ]
    return FlatTop(
        (percents[0], percents[1], percents[2]),
        here.share,
        (spreads[0], spreads[1], spreads[2]),
        max(here.readings, known.readings),
    )


def flat_top_sentence(top: FlatTop, yard: Yardstick) -> str:
    """What to say of a frame that is flat at its top."""
    highest = max(p for p in top.percents if p is not None)
    stops = yard.carried.percent_to_stops(highest)
    return (
        f"the picture is flat at its top, {highest:.1f} % or {stops:+.2f} st, on "
        f"{100.0 * top.share:.1f} % of its area: unless that is a flat thing, the camera clips "
        "there, below the profile's clip; set `clip` to it"
    )


def spot_sentence(channels: str) -> str:
    """What to say of a spot that lies there."""
    return (
        f"the spot lies at the picture's flat top ({channels}): probably clipped in the camera, "
        "the true light higher"
    )
