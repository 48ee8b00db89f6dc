"""What each hypothesis expects of each reading, as arrays: made once, weighed many times."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.delivery import Delivery, deliveries
from overlays.measure.feedcheck.readings import What
from overlays.measure.feedcheck.tolerances import (
    CAP_LEVEL,
    CAP_LIGHT,
    CLIP_LEAST_STOPS,
    DARK_STOPS,
    DARK_WITHIN_STOPS,
    WHITE_REFLECTANCE,
    WHITE_STOPS,
)
from overlays.signal.curves import MID_GREY, Curve, stops_to_linear
from overlays.signal.levels import FloatArray, link_step
from overlays.signal.signal import Range, Signal

CARD_STEPS = 41
"""Places between the lowest and the highest light of the card at which it is tried."""

Interval = tuple[FloatArray, FloatArray]
"""(lowest, highest) code, each by hypothesis, or by hypothesis and light of the card."""


@dataclass(frozen=True, slots=True, eq=False)
class Predictions:
    """Codes that are to be expected, by hypothesis.

    Attributes
    ----------
    hypotheses:
        In the order of all arrays.
    alike:
        Of each what is the same for those that read greys alike.
    black, grey:
        (hypotheses,) codes of no light and of 18 %.
    cap, clip:
        (hypotheses,) bounds.
    card:
        (hypotheses, CARD_STEPS) code of the card, over what it may be off.
    white, dark:
        (hypotheses, CARD_STEPS) bounds, for a card that is off as much as that.
    between:
        (hypotheses, 1) codes by reading of a card: half the step to the next light that is tried.
    rounding:
        (hypotheses,) codes by which rounding on the way may move a mean.
    """

    hypotheses: tuple[Delivery, ...]
    alike: tuple[tuple[str, float, float], ...]
    black: FloatArray
    grey: FloatArray
    cap: Interval
    clip: Interval
    card: FloatArray
    white: Interval
    dark: Interval
    between: dict[What, FloatArray]
    rounding: FloatArray


@lru_cache(maxsize=8)
def predictions(bits: int, card_stops: float, curves: tuple[Curve, ...] = ()) -> Predictions:
    """What every hypothesis expects.

    Parameters
    ----------
    bits:
        Depth of the codes.
    card_stops:
        How far the card may lie from mid-grey.
    curves:
        Of profiles of one's own, besides the published ones.

    Returns
    -------
    Predictions
        In codes of that depth.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> expected = predictions(bits=10, card_stops=0.1)
    >>> log = Delivery(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
    >>> round(float(expected.grey[expected.hypotheses.index(log)]))
    420
    """
    found = deliveries(curves)
    off = np.linspace(-card_stops, card_stops, CARD_STEPS)
    light = stops_to_linear(off)
    level = CAP_LEVEL * (1 << bits)

    def codes(linear: FloatArray) -> FloatArray:
        return np.array([each.codes(linear, bits) for each in found])

    def around(stops: float, within: float) -> Interval:
        centre = light * 2.0**stops
        return codes(centre * 2.0**-within), codes(centre * 2.0**within)

    ends = np.array([picture_codes(Signal(bits, each.range)) for each in found], dtype=float)
    dim = codes(np.array([-CAP_LIGHT, 0.0, CAP_LIGHT, MID_GREY]))
    cap = np.clip(np.array([dim[:, :3].min(axis=1) - level, dim[:, 2] + level]), *ends.T)
    least = codes(np.array([stops_to_linear(CLIP_LEAST_STOPS)]))[:, 0]
    white = float(np.log2(WHITE_REFLECTANCE / MID_GREY))
    of_card, of_white = codes(light), around(white, WHITE_STOPS)
    of_dark = around(DARK_STOPS, DARK_WITHIN_STOPS)
    return Predictions(
        hypotheses=found,
        alike=tuple(each.alike for each in found),
        black=dim[:, 1],
        grey=dim[:, 3],
        cap=(cap[0], cap[1]),
        clip=(least, ends[:, 1]),
        card=of_card,
        white=of_white,
        dark=of_dark,
        between={
            What.CARD: half_a_step(of_card),
            What.WHITE: half_a_step(of_white[0]),
            What.DARK: half_a_step(of_dark[0]),
        },
        rounding=np.array([_rounded_before(bits, each.range) for each in found]),
    )


def half_a_step(codes: FloatArray) -> FloatArray:
    """Half of the largest step from one light of the card to the next.

    Parameters
    ----------
    codes:
        (hypotheses, lights) codes.

    Returns
    -------
    ndarray
        (hypotheses, 1) float64, in codes.

    Examples
    --------
    >>> half_a_step(np.array([[400.0, 402.0, 405.0]])).tolist()
    [[1.5]]
    """
    return np.asarray(np.abs(np.diff(codes, axis=1)).max(axis=1)[:, None] / 2.0)


def _rounded_before(bits: int, of: Range) -> float:
    """Half a step of the link for each time that codes were rounded before the last."""
    times = max(of.squeezes, 1 if of is Range.STRETCHED else 0)
    return 0.5 * times * max(link_step(Signal(bits, of)), 1.0) if times else 0.0
