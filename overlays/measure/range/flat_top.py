"""Where the camera clips below the profile's clip: a picture that is flat at its top.

A sensor gives out below the top of most log curves, each channel at a level of its own once white
balance has lifted red and blue. Nothing in the codes says so but piles (`ceilings`).
"""

from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.yardstick import Yardstick, clip_margin_percent
from overlays.measure.range.areas import Areas
from overlays.measure.range.ceilings import find_piles
from overlays.measure.spot.spot import SpotReading
from overlays.signal.levels import Scale, luma_scale
from overlays.signal.signal import Signal


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
        return max(clip_margin_percent(yard.signal), 3.0 * self.spreads[channel])

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


def flat_top_of(areas: Areas, yard: Yardstick, known: FlatTop | None = None) -> FlatTop | None:
    """The ceilings below the clip that a frame's tiles establish, or None.

    `known` are ceilings of earlier frames: a pile there needs no other sign.
    """
    before = (None, None, None) if known is None else known.percents
    levels = tuple(None if percent is None else areas.level(percent) for percent in before)
    piles = find_piles(areas, yard, levels)
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
    """What to say of a camera's ceilings that were found."""
    each = [
        f"{name} {percent:.1f} % or {yard.carried.percent_to_stops(percent):+.2f} st"
        for name, percent in zip("RGB", top.percents, strict=True)
        if percent is not None
    ]
    return (
        f"the picture is flat at its top ({', '.join(each)}), on {100.0 * top.share:.1f} % of its "
        "area: the camera clips there, below the profile's clip, and that is taken as the clip, "
        "found from the picture; set `clip` to it"
    )


def spot_sentence(channels: str) -> str:
    """What to say of a spot that lies there."""
    return (
        f"the spot lies at the picture's flat top ({channels}): clipped in the camera by a ceiling "
        "found from the picture, the true light higher"
    )
