"""Readings against every hypothesis: which are possible, how likely each is, what it leaves over.

What a cap, a card or a clip may be off has bounds and no distribution that anybody knows: within
its bounds (`tolerances`) it is taken as even. A hypothesis is *possible* where some light of the
card brings every reading within its bounds, give or take what the readings' own ± allows; that
decides, and only then is anything certain. The likelihood ranks them: of the card and what is read
with it the mean, over the light it may have, of the normal densities of the readings; of cap and
clip the even density over their bounds, with edges as soft as the readings' ±.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.feedcheck.predictions import Interval, Predictions
from overlays.measure.feedcheck.readings import CodeReading, Readings, What
from overlays.measure.feedcheck.tolerances import NOISE_AT_BLACK, SLACK_CODES, SURE_HALF_WIDTHS
from overlays.measure.spot.rounding import Z95
from overlays.signal.levels import FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """By hypothesis, in the order of its predictions.

    Attributes
    ----------
    possible:
        Whether no reading speaks against it.
    probability:
        Share of its likelihood in that of all, which count alike beforehand; 0 where all are out
        of the question.
    beyond:
        Codes that the readings lie outside of its bounds, the worst of them, at its best.
    """

    possible: npt.NDArray[np.bool_]
    probability: FloatArray
    beyond: FloatArray


def weigh(readings: Readings, expected: Predictions) -> Weighed:
    """Weigh every hypothesis.

    Parameters
    ----------
    readings:
        Of cap, card and clip, and of what else there is.
    expected:
        For codes of the same depth.

    Returns
    -------
    Weighed
        By hypothesis.

    Examples
    --------
    >>> from overlays.measure.feedcheck.predictions import predictions
    >>> codes = {What.CAP: 95.0, What.CARD: 420.0, What.CLIP: 1019.0}  # as of S-Log3
    >>> expected = predictions(bits=10, card_stops=0.1)
    >>> found = weigh({what: CodeReading(code, 0.2) for what, code in codes.items()}, expected)
    >>> best = expected.hypotheses[int(found.probability.argmax())]
    >>> best.curve.name, best.range.value
    ('S-Log3', 'limited')
    """
    lifted = expected.cap[1] + NOISE_AT_BLACK * readings[What.CAP].noise
    alone = [
        _outside(readings[What.CAP], (expected.cap[0], lifted), expected.rounding),
        _outside(readings[What.CLIP], expected.clip, expected.rounding),
    ]
    rounding = expected.rounding[:, None]
    together = [_outside(readings[What.CARD], (expected.card, expected.card), rounding)]
    for what, bounds in ((What.WHITE, expected.white), (What.DARK, expected.dark)):
        if what in readings:
            together.append(_outside(readings[what], bounds, rounding))
    gap = np.max(np.array([each.gap for each in together]), axis=0)
    beyond = np.maximum(gap.min(axis=1), np.maximum(alone[0].gap, alone[1].gap))
    fits = np.all(np.array([each.fits for each in together]), axis=0).any(axis=1)
    logs = np.sum(np.array([each.log for each in together]), axis=0)
    peak = logs.max(axis=1)
    likely = peak + np.log(np.mean(np.exp(logs - peak[:, None]), axis=1))
    likely = likely + alone[0].log + alone[1].log
    shares = np.exp(likely - likely.max())
    return Weighed(fits & alone[0].fits & alone[1].fits, shares / shares.sum(), beyond)


@dataclass(frozen=True, slots=True, eq=False)
class _Outside:
    """Of one reading: codes outside of bounds, whether that is within its ±, log likelihood."""

    gap: FloatArray
    fits: npt.NDArray[np.bool_]
    log: FloatArray


def _outside(reading: CodeReading, bounds: Interval, rounding: FloatArray) -> _Outside:
    low, high = bounds
    gap = np.maximum(np.maximum(low - reading.code, reading.code - high), 0.0)
    # Steps of the grid of the card's light lie this far apart; it is no reading's fault.
    between = np.abs(np.diff(low, axis=1)).max(axis=1)[:, None] / 2.0 if low.ndim > 1 else 0.0
    allowed = SURE_HALF_WIDTHS * reading.code_pm + SLACK_CODES + rounding + between
    sigma = reading.code_pm / Z95 + (SLACK_CODES + rounding + between) / 2.0
    width = np.maximum(high - low, sigma)
    return _Outside(gap, gap <= allowed, -0.5 * (gap / sigma) ** 2 - np.log(width))
