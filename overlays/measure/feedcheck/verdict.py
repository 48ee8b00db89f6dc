"""What cap, card and clip say together: hypotheses in their order, what is tied, what to read next.

Hypotheses that read every grey alike are one *reading* of the feed, whatever they are called: the
verdict is on readings, and certain where one alone is possible. Its names read colours within 2 %.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.measure.feedcheck.delivery import RANGES, Delivery
from overlays.measure.feedcheck.predictions import Predictions, predictions
from overlays.measure.feedcheck.readings import Readings, What
from overlays.measure.feedcheck.tolerances import Tolerances
from overlays.measure.feedcheck.weigh import Weighed, weigh
from overlays.signal.curves import Curve, Family
from overlays.signal.levels import FloatArray

_ODD_LOG, _ODD = 1.5, 10.0
"""Places in the order of `RANGES` that another carriage than the published one is worth."""

LEAST_PROBABILITY = 0.001
"""Of a hypothesis that is worth being listed where it is not possible."""


class Sureness(Enum):
    """How sure a check is; the value is what is said of it."""

    CERTAIN = "certain"
    TIED = "tied"
    """More than one reading of the feed is possible."""
    UNEXPLAINED = "unexplained"
    """None that is known is."""
    COLOURED = "coloured"
    """The card is not grey enough for luma to tell."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One delivery against the readings.

    Attributes
    ----------
    delivery:
        Curve, carriage, range.
    probability:
        Its share of the likelihood of all.
    possible:
        Whether no reading speaks against it.
    residual_codes:
        What was read less what it expects, by reading: of the cap of no light, of the card of
        18 %, of the clip only what lies outside of what the link can carry.
    beyond_codes:
        How far outside of what cap, card and clip may be off the worst reading lies.
    """

    delivery: Delivery
    probability: float
    possible: bool
    residual_codes: dict[What, float]
    beyond_codes: float


@dataclass(frozen=True, slots=True)
class FeedCheck:
    """What three readings and more say.

    Attributes
    ----------
    bits, readings:
        Depth of the codes, and what was read.
    hypotheses:
        The likeliest first: all that are possible, and the likely ones of the others.
    standing:
        How sure it is.
    chosen:
        The name for what arrives that is nearest to how it is read now; None where nothing known
        explains the readings.
    groups:
        The possible readings of the feed, the likeliest first; each the names that read greys
        alike.
    ask:
        The reading that would tell the most of them apart; None where none would or none is needed.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> codes = {What.CAP: 128.0, What.CARD: 433.0, What.CLIP: 874.0}
    >>> readings = {what: CodeReading(code, 0.2) for what, code in codes.items()}
    >>> log = Delivery(published_curve("V-Log"), Carriage.FULL, Range.LIMITED)
    >>> found = check_feed(readings, 10, log)
    >>> found.chosen == log, found.is_certain, found.ask.value  # another way fits too
    (True, False, 'white')
    """

    bits: int
    readings: Readings
    hypotheses: tuple[Hypothesis, ...]
    standing: Sureness
    chosen: Delivery | None
    groups: tuple[tuple[Delivery, ...], ...]
    ask: What | None

    @property
    def is_certain(self) -> bool:
        """Whether one reading of the feed alone is possible."""
        return self.standing is Sureness.CERTAIN


def check_feed(
    readings: Readings,
    bits: int,
    now: Delivery,
    tolerances: Tolerances = Tolerances(),  # noqa: B008 - frozen
    curves: Iterable[Curve] = (),
) -> FeedCheck:
    """Weigh cap, card and clip, and what else was read, against everything that is known.

    Parameters
    ----------
    readings:
        At least of cap, card and clip.
    bits:
        Depth of their codes, 8 to 16.
    now:
        How the feed is read now: of names that read alike, the nearest to it is chosen.
    tolerances:
        What a person knows of the card.
    curves:
        Of profiles of one's own, besides those that are published.

    Returns
    -------
    FeedCheck
        With at least one hypothesis, possible or not.

    Raises
    ------
    KeyError
        Cap, card or clip is missing.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> codes = {What.CAP: 64.0, What.CARD: 493.0, What.CLIP: 1019.0}
    >>> readings = {what: CodeReading(code, 0.2) for what, code in codes.items()}
    >>> video = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    >>> found = check_feed(readings, 10, video)  # BT.709 has grey at 422
    >>> found.chosen.curve.name, found.is_certain
    ('BT.1886', True)
    """
    expected = predictions(bits, tolerances.card_stops, tuple(curves))
    weighed = weigh(readings, expected)
    groups = _groups(expected, weighed, now)
    coloured = any(not readings[what].is_grey for what in readings if what is not What.CLIP)
    standing = Sureness.TIED
    if coloured:
        standing = Sureness.COLOURED
    elif len(groups) < 2:
        standing = Sureness.CERTAIN if groups else Sureness.UNEXPLAINED
    return FeedCheck(
        bits=bits,
        readings=readings,
        hypotheses=_listed(readings, expected, weighed),
        standing=standing,
        chosen=groups[0][0] if groups else None,
        groups=groups,
        ask=_next(expected, weighed, readings) if len(groups) > 1 else None,
    )


def _groups(
    expected: Predictions, weighed: Weighed, now: Delivery
) -> tuple[tuple[Delivery, ...], ...]:
    """Possible deliveries by how they read greys, the likeliest first, the nearest to now first."""
    found: dict[tuple[str, float, float], list[int]] = {}
    for index in np.flatnonzero(weighed.possible):
        found.setdefault(expected.alike[index], []).append(int(index))
    ordered = sorted(found.values(), key=lambda group: -float(weighed.probability[group].sum()))
    return tuple(
        tuple(sorted((expected.hypotheses[i] for i in group), key=lambda d: _distance(d, now)))
        for group in ordered
    )


def _distance(delivery: Delivery, now: Delivery) -> tuple[float, int]:
    """How far a name is from what is read now: of names that read alike the simplest is said.

    In the order of `RANGES`; a log curve that lies otherwise than it was published is simpler than
    a squeeze, standard gamma that does is not to be thought of.
    """
    curve, rank = delivery.curve, RANGES.index(delivery.range)
    is_known = curve == now.curve and delivery.carriage is now.carriage
    as_published = delivery.carriage is curve.carriage or is_known
    odd = _ODD_LOG if curve.family is Family.LOG else _ODD
    farther = 0.0 if delivery.range is now.range else float(rank)
    return farther + (0.0 if as_published else odd), rank


def _listed(readings: Readings, expected: Predictions, weighed: Weighed) -> tuple[Hypothesis, ...]:
    order = np.lexsort((-weighed.probability, ~weighed.possible))
    worth_it = weighed.possible | (weighed.probability >= LEAST_PROBABILITY)
    kept = order[worth_it[order]].tolist()
    return tuple(_hypothesis(index, readings, expected, weighed) for index in kept)


def _hypothesis(
    index: int, readings: Readings, expected: Predictions, weighed: Weighed
) -> Hypothesis:
    clip = readings[What.CLIP].code
    low, high = float(expected.clip[0][index]), float(expected.clip[1][index])
    residuals = {
        What.CAP: readings[What.CAP].code - float(expected.black[index]),
        What.CARD: readings[What.CARD].code - float(expected.grey[index]),
        What.CLIP: clip - min(max(clip, low), high),
    }
    for what, bounds in ((What.WHITE, expected.white), (What.DARK, expected.dark)):
        if what in readings:
            middle = float(bounds[0][index].mean() + bounds[1][index].mean()) / 2.0
            residuals[what] = readings[what].code - middle
    return Hypothesis(
        expected.hypotheses[index],
        float(weighed.probability[index]),
        bool(weighed.possible[index]),
        residuals,
        float(weighed.beyond[index]),
    )


def _next(expected: Predictions, weighed: Weighed, readings: Readings) -> What | None:
    """The reading that would tell the most pairs of possible readings of the feed apart."""
    ones = {expected.alike[i]: int(i) for i in np.flatnonzero(weighed.possible)}
    best: tuple[int, What] | None = None
    for what, (low, high) in ((What.WHITE, expected.white), (What.DARK, expected.dark)):
        if what in readings:
            continue
        spans = [_span(i, low, high, expected, readings) for i in ones.values()]
        slack = 4.0 * readings[What.CARD].code_pm
        apart = sum(
            a[1] + slack < b[0] or b[1] + slack < a[0]
            for number, a in enumerate(spans)
            for b in spans[number + 1 :]
        )
        if apart and (best is None or apart > best[0]):
            best = apart, what
    return None if best is None else best[1]


def _span(
    index: int, low: FloatArray, high: FloatArray, expected: Predictions, readings: Readings
) -> tuple[float, float]:
    """Codes a reading would have, for the lights of the card that its own reading allows."""
    card, steps = readings[What.CARD], expected.card[index]
    near = np.abs(steps - card.code)
    fits = near <= max(2.0 * card.code_pm, float(near.min()) + 1e-9)
    return float(low[index][fits].min()), float(high[index][fits].max())
