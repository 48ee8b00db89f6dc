"""What explains three chips that are off: how each cause moves them, and which causes fit."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

import numpy as np

from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import FloatArray


class Cause(Enum):
    """What can put chips off their targets; the value is what it is called."""

    EXPOSURE = "exposure"
    BLACK_LEVEL = "black level"
    CONTRAST = "contrast"
    REFLECTION = "reflection"


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes that together put all three chips where they were read.

    Attributes
    ----------
    causes:
        One or two, the first with the greater part.
    amounts:
        Of each: stops of light for exposure (positive is too much), percent at black for black
        level (positive is too high), the exponent on the signal for contrast (below 1 is a grey too
        bright), percent at black for a reflection.
    misfit:
        Greatest distance left at any chip, as a share of what need not be explained.
    effort:
        Greatest change each cause makes, added up, in the same measure: of two explanations that
        fit, the smaller is the likelier.

    Examples
    --------
    >>> [Explanation((Cause.EXPOSURE,), (stops,), 0.2, 3.0).is_felt for stops in (0.5, 0.002)]
    [True, False]
    """

    causes: tuple[Cause, ...]
    amounts: tuple[float, ...]
    misfit: float
    effort: float

    @property
    def is_felt(self) -> bool:
        """Whether no amount is too small to be turned, or said: "close the lens by 0.00 st"."""
        moved = (
            abs(amount - 1.0 if cause is Cause.CONTRAST else amount) >= _LEAST[cause]
            for cause, amount in zip(self.causes, self.amounts, strict=True)
        )
        return all(moved)


_LEAST = {
    Cause.EXPOSURE: 0.005,
    Cause.BLACK_LEVEL: 0.05,
    Cause.CONTRAST: 0.005,
    Cause.REFLECTION: 0.05,
}
"""Half of the last decimal that advice gives of an amount."""


Model = Callable[[FloatArray, FloatArray], FloatArray]
"""(..., 3) levels after a cause, of (..., 3) levels and (...) amounts of it."""


def _models(carried: CarriedCurve) -> dict[Cause, tuple[Model, float, float]]:
    """What each cause does to nominal levels of (white, grey, black), and the range of its amount.

    Amount 0 does nothing. Black level keeps 100 % and contrast 0 % and 100 % where they are, as
    lift and power do in colour correction.
    """

    def exposure(level: FloatArray, amount: FloatArray) -> FloatArray:
        return np.asarray(carried.nominal(carried.light(level) * np.exp2(amount)[..., None]))

    def black_level(level: FloatArray, amount: FloatArray) -> FloatArray:
        return np.asarray(level + amount[..., None] / 100.0 * (1.0 - level))

    def contrast(level: FloatArray, amount: FloatArray) -> FloatArray:
        return np.asarray(np.maximum(level, 1e-4) ** np.exp(amount)[..., None])

    def reflection(level: FloatArray, amount: FloatArray) -> FloatArray:
        return np.asarray(level + amount[..., None] / 100.0 * np.array([0.0, 0.0, 1.0]))

    return {
        Cause.EXPOSURE: (exposure, -4.0, 4.0),
        Cause.BLACK_LEVEL: (black_level, -10.0, 25.0),
        Cause.CONTRAST: (contrast, -0.7, 0.7),
        Cause.REFLECTION: (reflection, 0.0, 40.0),
    }


_STEPS = np.linspace(-1.0, 1.0, 9)
_GRIDS = {1: _STEPS[:, None], 2: np.stack(np.meshgrid(_STEPS, _STEPS), axis=-1).reshape(-1, 2)}
"""Trials around the best so far, in widths, for one amount and for two."""


@dataclass(frozen=True, slots=True)
class Case:
    """Nominal levels of (white, grey, black): wanted, seen, and what counts as the same.

    `slack` is how far above what was seen a level is no misfit, and `slack_below` how far below,
    where that is another distance; infinite on the side on which what was seen is only a bound.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> level = np.array([0.9, 0.4, 0.02])
    >>> bound = Case(level, level, np.full(3, 0.01), VIDEO.carried, np.full(3, np.inf))
    >>> bound.scale.tolist()
    [0.01, 0.01, 0.01]
    """

    wanted: FloatArray
    seen: FloatArray
    slack: FloatArray
    carried: CarriedCurve
    slack_below: FloatArray | None = None

    @property
    def below(self) -> FloatArray:
        """How far below what was seen a level is no misfit."""
        return self.slack if self.slack_below is None else self.slack_below

    @property
    def scale(self) -> FloatArray:
        """What a change of level is measured in: the narrower side."""
        return np.minimum(self.slack, self.below)


def explain(case: Case) -> tuple[Explanation, ...]:
    """The explanations of the fewest causes that fit, best first; none where no two fit.

    Parameters
    ----------
    case:
        Levels wanted and seen.

    Returns
    -------
    tuple[Explanation, ...]
        Each with a misfit of 1 at most and amounts that are felt; of one cause where one suffices,
        else of two.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> wanted, slack = np.array([0.915, 0.4, 0.02]), np.full(3, 0.01)
    >>> half_a_stop_more = VIDEO.carried.nominal(VIDEO.carried.light(wanted) * 2.0**0.5)
    >>> best = explain(Case(wanted, half_a_stop_more, slack, VIDEO.carried))[0]
    >>> best.causes, round(best.amounts[0], 1)
    ((<Cause.EXPOSURE: 'exposure'>,), 0.5)
    """
    models = _models(case.carried)
    for count in (1, 2):
        fits = [_fit(case, causes, models) for causes in combinations(Cause, count)]
        good = [fit for fit in fits if fit.misfit <= 1.0 and fit.is_felt]
        if good:
            return tuple(sorted(good, key=lambda fit: (round(2.0 * fit.misfit), fit.effort)))
    return ()


def _fit(
    case: Case, causes: tuple[Cause, ...], models: dict[Cause, tuple[Model, float, float]]
) -> Explanation:
    """The amounts of given causes that bring the three nearest, by a search that gets finer."""
    spans = [models[cause][1:] for cause in causes]
    low, high = (np.array([span[end] for span in spans]) for end in (0, 1))
    centre, width = np.zeros(len(causes)), np.maximum(np.abs(low), high)
    best = math.inf
    for _ in range(14):
        trials = np.clip(centre + _GRIDS[len(causes)] * width, low, high)
        misfits = _misfits(case, causes, trials, models)
        place = int(misfits.argmin())
        if misfits[place] < best:
            best, centre = float(misfits[place]), trials[place]
        width = width / 2.2
    sizes = [_size(case, models[c][0], float(a)) for c, a in zip(causes, centre, strict=True)]
    order = sorted(range(len(causes)), key=lambda place: -sizes[place])
    return Explanation(
        tuple(causes[place] for place in order),
        tuple(_public(causes[place], float(centre[place])) for place in order),
        best,
        sum(sizes),
    )


def _misfits(
    case: Case,
    causes: tuple[Cause, ...],
    trials: FloatArray,
    models: dict[Cause, tuple[Model, float, float]],
) -> FloatArray:
    """Greatest distance at any chip, in slacks, of each of (trials, causes) amounts."""
    level = np.broadcast_to(case.wanted, (trials.shape[0], 3))
    for index, cause in enumerate(causes):
        level = models[cause][0](level, trials[:, index])
    over = level - case.seen
    return np.asarray(np.maximum(over / case.slack, -over / case.below).max(axis=1))


def _size(case: Case, model: Model, amount: float) -> float:
    """Greatest change a cause makes at any chip, in slacks."""
    return float(np.abs((model(case.wanted, np.array(amount)) - case.wanted) / case.scale).max())


def _public(cause: Cause, amount: float) -> float:
    return math.exp(amount) if cause is Cause.CONTRAST else amount
