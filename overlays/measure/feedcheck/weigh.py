"""Readings against every hypothesis: which are possible, how likely each is, what it leaves over.

What a cap, a card or a clip may be off has bounds and no distribution that anybody knows: within
its bounds (`tolerances`) it is taken as even. A hypothesis is *possible* where some light of the
card brings every reading within its bounds, give or take what the readings' own ± allows; that
decides, and only then is anything certain. The likelihood ranks them: of the card and what is read
with it the mean, over the light it may have, of the normal densities of the readings; of cap and
clip the even density over their bounds, with edges as soft as the readings' ±.
"""

from dataclasses import dataclass
from functools import reduce

import numpy as np
import numpy.typing as npt

from overlays.measure.feedcheck.predictions import Interval, Predictions
from overlays.measure.feedcheck.readings import CodeReading, Readings, What
from overlays.measure.feedcheck.tolerances import NOISE_AT_BLACK, SLACK_CODES, SURE_HALF_WIDTHS
from overlays.measure.spot.rounding import Z95
from overlays.signal.levels import FloatArray

_FAR_LOG = 760.0
"""Log likelihood below the best that leaves nothing: the least float64 is exp(-745), and a mean of
as many lights as are tried is less than 4 below the likeliest of them."""


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
    of_card = (expected.card, expected.card)
    bounds = {What.CARD: of_card, What.WHITE: expected.white, What.DARK: expected.dark}
    together = [
        _outside(readings[what], of, rounding, expected.between[what])
        for what, of in bounds.items()
        if what is What.CARD or what in readings
    ]
    gap = reduce(np.maximum, [each.gap for each in together])
    beyond = np.maximum(gap.min(axis=1), np.maximum(alone[0].gap, alone[1].gap))
    fits = reduce(np.logical_and, [each.fits for each in together]).any(axis=1)
    logs = reduce(np.add, [each.log for each in together])
    shares = _shares(logs, alone[0].log, alone[1].log)
    return Weighed(fits & alone[0].fits & alone[1].fits, shares, beyond)


def _shares(together: FloatArray, cap: FloatArray, clip: FloatArray) -> FloatArray:
    """(hypotheses,) of 1, by log likelihoods: (hypotheses, lights) of the card, the mean counts."""
    peak = together.max(axis=1)
    at_most = peak + cap + clip
    near = at_most > at_most.max() - _FAR_LOG
    logs, top = together[near], peak[near]
    likely: FloatArray = np.full(len(peak), -np.inf)
    likely[near] = (
        top + np.log(np.mean(np.exp(logs - top[:, None]), axis=1)) + cap[near] + clip[near]
    )
    shares = np.exp(likely - likely.max())
    return np.asarray(shares / shares.sum())


@dataclass(frozen=True, slots=True, eq=False)
class _Outside:
    """Of one reading: codes outside of bounds, whether that is within its ±, log likelihood."""

    gap: FloatArray
    fits: npt.NDArray[np.bool_]
    log: FloatArray


def _outside(
    reading: CodeReading, bounds: Interval, rounding: FloatArray, between: FloatArray | float = 0.0
) -> _Outside:
    """Of one; steps of the grid of the card's light lie `between` off, which is no fault of its."""
    low, high = bounds
    gap = np.maximum(np.maximum(low - reading.code, reading.code - high), 0.0)
    allowed = SURE_HALF_WIDTHS * reading.code_pm + SLACK_CODES + rounding + between
    sigma = reading.code_pm / Z95 + (SLACK_CODES + rounding + between) / 2.0
    width = sigma if low is high else np.maximum(high - low, sigma)
    return _Outside(gap, gap <= allowed, -0.5 * (gap / sigma) ** 2 - np.log(width))
