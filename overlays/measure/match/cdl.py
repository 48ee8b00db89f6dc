"""The ASC Color Decision List: ten numbers that take one picture to another, fitted and applied.

ASC CDL version 1.2 (American Society of Cinematographers; the formulas and names of elements from
memory, checked against an independent implementation in the tests): each channel becomes
``clamp(in * slope + offset) ** power``, then saturation moves it from or to the Rec. 709 luma of
the three; everything is held to 0..1.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
Three = tuple[float, float, float]

LUMA = np.array([0.2126, 0.7152, 0.0722])
"""Weights of the saturation step (ASC CDL 1.2: those of ITU-R BT.709)."""

_APART = 0.02
"""Levels nearer than this to each other tell no slope from an offset."""
_POWERS = (0.5, 2.0)
_SATURATIONS = (0.6, 1.6)
_COLOURED = 0.05
"""Spread of a pin's three levels from which it says something about saturation."""
_LARGEST_PART = 0.002
"""Least improvement, root mean square in signal, for which power or saturation is used too."""
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
"""Where in a span the golden section looks."""
_CALM = 0.01
"""Slope and power are regularised towards identity: a change of either by a factor of e must
improve the fit by this much signal, so that a few pins do not distort the rest of a picture for a
difference that nobody sees."""

KEPT_FITS = 64
"""Of some hundred bytes each."""


@dataclass(frozen=True, slots=True)
class Cdl:
    """Slope, offset and power of R, G, B, and saturation; the defaults change nothing.

    Examples
    --------
    >>> Cdl().is_nothing, Cdl(slope=(2.0, 1.0, 1.0)).is_nothing
    (True, False)
    """

    slope: Three = (1.0, 1.0, 1.0)
    offset: Three = (0.0, 0.0, 0.0)
    power: Three = (1.0, 1.0, 1.0)
    saturation: float = 1.0

    @property
    def is_nothing(self) -> bool:
        """Whether it changes no picture."""
        return self == Cdl()


def apply_cdl(cdl: Cdl, rgb: FloatArray) -> FloatArray:
    """The picture after a CDL; `rgb` is (..., 3) float64, nominally 0..1.

    Parameters
    ----------
    cdl:
        Ten numbers; slope and power must be above 0.
    rgb:
        Left as it is.

    Returns
    -------
    ndarray
        (..., 3) float64, 0..1.

    Examples
    --------
    >>> apply_cdl(Cdl(slope=(2.0, 1.0, 1.0)), np.array([0.25, 0.5, 0.5])).round(6).tolist()
    [0.5, 0.5, 0.5]
    """
    graded = np.clip(rgb * np.array(cdl.slope) + np.array(cdl.offset), 0.0, 1.0)
    graded **= np.array(cdl.power)
    luma = (graded @ LUMA)[..., None]
    return np.asarray(np.clip(luma + cdl.saturation * (graded - luma), 0.0, 1.0))


def fit_cdl(source: FloatArray, wanted: FloatArray, weights: FloatArray) -> Cdl:
    """The simplest CDL that takes `source` to `wanted`.

    Parameters
    ----------
    source, wanted:
        (pins, 3) signal, 0..1.
    weights:
        (pins, 3), what a unit of signal is worth at each.

    Returns
    -------
    Cdl
        Changes nothing where the pins lie on fewer than two levels.

    Notes
    -----
    As many parts as the pins can carry: slope and offset from two levels on, power from three,
    saturation where two pins are coloured; and none that improves the fit too little.

    Examples
    --------
    >>> source = np.array([[0.1, 0.1, 0.1], [0.3, 0.3, 0.3]])
    >>> found = fit_cdl(source, 2.0 * source, weights=np.ones((2, 3)))
    >>> [round(slope, 1) for slope in found.slope]
    [2.0, 2.0, 2.0]
    """
    pins = (np.asarray(each, dtype=np.float64) for each in (source, wanted, weights))
    return _fit_of(*(each.tobytes() for each in pins))


@lru_cache(KEPT_FITS)
def _fit_of(*pins: bytes) -> Cdl:
    """The same of what numbers are in memory, (pins, 3) float64 each.

    Where all pins are grey, the fit of those alone that says how far black may be moved is one that
    was made already; and a row of a journal that is looked through is fitted as it was once more.
    """
    source, wanted, weights = (np.frombuffer(each).reshape(-1, 3) for each in pins)
    best = Cdl()
    levels = min(_levels(source[:, channel]) for channel in range(3))
    if levels < 2:
        return best
    coloured = int(np.count_nonzero(np.ptp(wanted, axis=1) > _COLOURED))
    trials: list[Callable[[], Cdl]] = [lambda: _fitted(source, wanted, weights, power=False)]
    if levels >= 3:
        trials.append(lambda: _fitted(source, wanted, weights, power=True))
    if coloured >= 2 and source.shape[0] >= 3:
        trials.append(lambda: _with_saturation(source, wanted, weights, power=levels >= 3))
    for trial in trials:
        candidate = trial()
        if _miss(candidate, source, wanted, weights) < (
            _miss(best, source, wanted, weights) - _LARGEST_PART
        ):
            best = candidate
    return best


def _levels(values: FloatArray) -> int:
    """How many levels there are that lie apart."""
    ordered = np.sort(values)
    count, last = 1, float(ordered[0])
    for value in ordered[1:]:
        if value - last > _APART:
            count, last = count + 1, float(value)
    return count


def _miss(cdl: Cdl, source: FloatArray, wanted: FloatArray, weights: FloatArray) -> float:
    """Root mean square of what is left, in signal, weighted."""
    share = weights / weights.mean()
    return float(np.sqrt(np.mean((share * (apply_cdl(cdl, source) - wanted)) ** 2)))


def _lines(x: FloatArray, y: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Slope and offset, (n, 1, 3), by weighted least squares of (n, pins, 3), towards slope 1."""
    share = weights * weights
    share /= share.sum(axis=1, keepdims=True)
    mean_x, mean_y = (share * x).sum(axis=1, keepdims=True), (share * y).sum(axis=1, keepdims=True)
    x = x - mean_x
    share *= x
    spread, along = ((share * each).sum(axis=1, keepdims=True) for each in (x, y - mean_y))
    # Regularised towards slope 1, with no effect to speak of where levels lie far apart.
    slope = (along + _CALM**2) / (spread + _CALM**2)
    return slope, mean_y - slope * mean_x


def _fitted(source: FloatArray, wanted: FloatArray, weights: FloatArray, *, power: bool) -> Cdl:
    """Slope, offset and power of the three channels, each for itself and all at once."""
    return _each_fitted(source, wanted[None], weights, power=power)[0]


def _each_fitted(
    source: FloatArray, wanted: FloatArray, weights: FloatArray, *, power: bool
) -> list[Cdl]:
    """The same for each of (n, pins, 3) that are wanted, all at once, as if of 3 n channels."""
    count, pins, _ = wanted.shape
    source, weights = np.tile(source, count), np.tile(weights, count)
    wanted = wanted.swapaxes(0, 1).reshape(pins, 3 * count)
    share = weights / weights.mean(axis=0)
    held = np.maximum(wanted, 1e-6)

    def at(exponents: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(m, 3 n) each: slope, offset and what they miss, of (m, 3 n) exponents."""
        exponent = exponents[:, None, :]
        straight = held ** (1.0 / exponent)
        # A step of the straightened signal is worth this much of the signal.
        worth = exponent * straight ** (exponent - 1.0)
        slope, offset = _lines(source, straight, weights * worth)
        graded = np.minimum(np.maximum(slope * source + offset, 0.0), 1.0) ** exponent
        miss = ((share * (graded - wanted)) ** 2).sum(axis=1) / pins
        miss += (_CALM * np.log(exponents)) ** 2
        return slope[:, 0], offset[:, 0], miss

    columns = 3 * count
    exponent = _least(lambda each: at(each)[2], _POWERS, columns) if power else np.ones(columns)
    slope, offset, _ = at(exponent[None])
    usable = slope[0] > 0.0
    parts = np.where(usable, (slope[0], offset[0], exponent), ((1.0,), (0.0,), (1.0,)))
    each = parts.reshape(3, count, 3).swapaxes(0, 1).tolist()
    return [
        Cdl(_three(slopes), _three(offsets), _three(powers)) for slopes, offsets, powers in each
    ]


def _three(numbers: Sequence[float]) -> Three:
    r, g, b = numbers
    return r, g, b


def _with_saturation(
    source: FloatArray, wanted: FloatArray, weights: FloatArray, *, power: bool
) -> Cdl:
    """The rest fitted to what saturation will make right, for the best saturation."""
    luma = (wanted @ LUMA)[:, None]

    def at(saturations: FloatArray) -> list[Cdl]:
        before = np.clip(luma + (wanted - luma) / saturations[:, None], 0.0, 1.0)
        rests = _each_fitted(source, before, weights, power=power)
        return [
            Cdl(rest.slope, rest.offset, rest.power, saturation)
            for rest, (saturation,) in zip(rests, saturations.tolist(), strict=True)
        ]

    def missed(saturations: FloatArray) -> FloatArray:
        return np.array([[_miss(each, source, wanted, weights)] for each in at(saturations)])

    (best,) = at(_least(missed, _SATURATIONS, 1)[None])
    return best


def _least(
    cost: Callable[[FloatArray], FloatArray], span: tuple[float, float], columns: int
) -> FloatArray:
    """Where smooth costs are least in a span, by a grid and the golden section within it.

    `cost` takes (n, columns) and gives as many; each column is gone through for itself.
    """
    grid = np.geomspace(*span, 9)
    place = cost(np.repeat(grid[:, None], columns, axis=1)).argmin(axis=0)
    low, high = grid[np.maximum(place - 1, 0)], grid[np.minimum(place + 1, 8)]
    one, other = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    cost_one, cost_other = cost(np.stack([one, other]))
    for _ in range(16):
        lower = cost_one < cost_other
        low, high = np.where(lower, low, one), np.where(lower, other, high)
        tried = np.where(lower, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        (found,) = cost(tried[None])
        one, other = np.where(lower, tried, other), np.where(lower, one, tried)
        cost_one, cost_other = np.where(lower, found, cost_other), np.where(lower, cost_one, found)
    return np.asarray((low + high) / 2.0)
