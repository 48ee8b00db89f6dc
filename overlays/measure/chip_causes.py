"""What explains three chips that are off: how each cause moves them, and which causes fit."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

import numpy as np

from overlays.signal.curves import CarriedCurve, FloatArray


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
    """

    causes: tuple[Cause, ...]
    amounts: tuple[float, ...]
    misfit: float
    effort: float


Model = Callable[[FloatArray, float], FloatArray]


def _models(carried: CarriedCurve) -> dict[Cause, tuple[Model, float, float]]:
    """What each cause does to nominal levels of (white, grey, black), and the range of its amount.

    Amount 0 does nothing. Black level keeps 100 % and contrast 0 % and 100 % where they are, as
    lift and power do in colour correction.
    """

    def exposure(level: FloatArray, amount: float) -> FloatArray:
        return np.asarray(carried.nominal(carried.light(level) * 2.0**amount))

    def black_level(level: FloatArray, amount: float) -> FloatArray:
        return level + amount / 100.0 * (1.0 - level)

    def contrast(level: FloatArray, amount: float) -> FloatArray:
        return np.asarray(np.maximum(level, 1e-4) ** math.exp(amount), dtype=np.float64)

    def reflection(level: FloatArray, amount: float) -> FloatArray:
        return np.asarray(level + np.array([0.0, 0.0, amount / 100.0]), dtype=np.float64)

    return {
        Cause.EXPOSURE: (exposure, -4.0, 4.0),
        Cause.BLACK_LEVEL: (black_level, -10.0, 25.0),
        Cause.CONTRAST: (contrast, -0.7, 0.7),
        Cause.REFLECTION: (reflection, 0.0, 40.0),
    }


@dataclass(frozen=True, slots=True)
class Case:
    """Nominal levels of (white, grey, black): wanted, seen, and what counts as the same."""

    wanted: FloatArray
    seen: FloatArray
    slack: FloatArray
    carried: CarriedCurve


def explain(case: Case) -> tuple[Explanation, ...]:
    """The explanations of the fewest causes that fit, best first; none where no two fit."""
    models = _models(case.carried)
    for count in (1, 2):
        fits = [_fit(case, causes, models) for causes in combinations(Cause, count)]
        good = [fit for fit in fits if fit.misfit <= 1.0]
        if good:
            return tuple(sorted(good, key=lambda fit: (round(2.0 * fit.misfit), fit.effort)))
    return ()


def _fit(
    case: Case, causes: tuple[Cause, ...], models: dict[Cause, tuple[Model, float, float]]
) -> Explanation:
    """The amounts of given causes that bring the three nearest, by a search that gets finer."""
    spans = [models[cause][1:] for cause in causes]
    centre = np.zeros(len(causes))
    width = np.array([max(abs(low), high) for low, high in spans])
    best = math.inf
    for _ in range(14):
        start = centre.copy()
        for offsets in np.ndindex(*(9,) * len(causes)):
            amounts = start + (np.array(offsets) - 4.0) / 4.0 * width
            amounts = np.clip(amounts, [s[0] for s in spans], [s[1] for s in spans])
            misfit = _misfit(case, causes, amounts, models)
            if misfit < best - 1e-12:
                best, centre = misfit, amounts
        width /= 2.2
    sizes = [_size(case, models[c][0], float(a)) for c, a in zip(causes, centre, strict=True)]
    order = sorted(range(len(causes)), key=lambda place: -sizes[place])
    return Explanation(
        tuple(causes[place] for place in order),
        tuple(_public(causes[place], float(centre[place])) for place in order),
        best,
        sum(sizes),
    )


def _misfit(
    case: Case,
    causes: tuple[Cause, ...],
    amounts: FloatArray,
    models: dict[Cause, tuple[Model, float, float]],
) -> float:
    level = case.wanted
    for cause, amount in zip(causes, amounts, strict=True):
        level = models[cause][0](level, float(amount))
    return float(np.abs((level - case.seen) / case.slack).max())


def _size(case: Case, model: Model, amount: float) -> float:
    """Greatest change a cause makes at any chip, in slacks."""
    return float(np.abs((model(case.wanted, amount) - case.wanted) / case.slack).max())


def _public(cause: Cause, amount: float) -> float:
    return math.exp(amount) if cause is Cause.CONTRAST else amount
