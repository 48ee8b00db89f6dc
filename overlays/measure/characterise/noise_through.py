"""What noise of light becomes behind a curve: by how much its mean moves, and how lopsided it is.

Noise of a sensor is read noise, which is even, and shot noise, which is not: of few electrons it
has a third moment (EMVA 1288: their number is Poisson's, so that variance rises straight with
light, by k, and the third moment by k^2). Of the two a card's samples show the sum alone; so what
even noise and what shot noise would make are both told.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from overlays.signal.curves import Curve
from overlays.signal.levels import FloatArray

LEAST_NOISE = 1e-3
"""Of the light, so that the slope can be told of what noise spans where there is none."""

LEAST_POWER = 0.2
"""Of light that a dark end may be: half of the least of published powers, 1 / 2.4 (BT.1886)."""

MOST_SKEWED = 1.5
"""Third moment over the third power of the deviation up to which a bent normal stands for noise of
few electrons: one electron has 1."""

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(31)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_BENT = _NODES**2 - 1.0
_MET, _MOST_TURNS = 1e-12, 60
_MOST_NOISE = 8.0
"""Times the light, or the darkest step's, that noise is tried up to."""


@dataclass(frozen=True, slots=True)
class PowerToe:
    """A curve that goes on below its darkest step as a power of light, as it rises above it.

    Attributes
    ----------
    curve, darkest:
        It, and light of the darkest step.
    black, above:
        Value of no light, and that of the darkest step over it.
    power:
        1 where it is straight in light.
    """

    curve: Curve
    darkest: float
    black: float
    above: float
    power: float

    def encode(self, linear: ArrayLike) -> FloatArray:
        """Values of light.

        Parameters
        ----------
        linear:
            Light, 0 and more.

        Returns
        -------
        ndarray
            `v`, nominally 0 to 1, on the scale of the curve.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> toe = power_toe(published_curve("BT.1886"), 0.18 * 2.0**-8.0)
        >>> round(toe.power, 3)  # 1 / 2.4
        0.417
        >>> toe.encode([0.0]).tolist()
        [0.0]
        """
        light = np.asarray(linear, np.float64)
        out, is_below = np.empty(light.shape), light < self.darkest
        # Each way where it is taken alone: half of the noise of dark steps lies on either.
        part = np.maximum(light[is_below] / self.darkest, 0.0) ** self.power
        out[is_below] = self.black + self.above * part
        out[~is_below] = self.curve.encode(light[~is_below])
        return out


Encodes = Curve | PowerToe
"""What gives light its value."""


def power_toe(curve: Curve, darkest: float) -> Encodes:
    """A curve whose dark end goes on as it rises over the two stops above its darkest step.

    Parameters
    ----------
    curve, darkest:
        It, and light of the darkest step.

    Returns
    -------
    Encodes
        The curve itself where it does not rise.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> toe = power_toe(published_curve("S-Log3"), 0.18 * 2.0**-8.0)  # straight in light there
    >>> round(toe.power, 3)
    1.0
    """
    black, low, high = (float(curve.encode(x)) for x in (0.0, darkest, 4.0 * darkest))
    if not black < low < high:
        return curve
    power = float(np.clip(0.5 * np.log2((high - black) / (low - black)), LEAST_POWER, 1.0))
    return PowerToe(curve, darkest, black, low - black, power)


class Under(Enum):
    """What is sent of less than no light."""

    MIRRORED = "mirrored"
    """As much under black as of so much light above it."""
    CUT = "cut"
    """Black."""


@dataclass(frozen=True, slots=True, eq=False)
class Through:
    """Noise behind a curve, (steps,) each.

    Attributes
    ----------
    sigma:
        Its deviation, in light.
    shift:
        By how much the mean lies over the curve, on its scale.
    third:
        Third moment about the mean, on the scale of the curve.
    signal:
        Light by the slope of the curve over all that the noise spans, on the scale of the curve.
    """

    sigma: FloatArray
    shift: FloatArray
    third: FloatArray
    signal: FloatArray


def noise_through(
    curve: Encodes,
    light: FloatArray,
    variance: FloatArray,
    under: Under = Under.MIRRORED,
    electron: float = 0.0,
) -> Through:
    """What light with noise becomes, whose values have that variance.

    Parameters
    ----------
    curve:
        On whose scale all is.
    light, variance:
        (steps,) light, 0.18 of mid-grey, and the variance of values behind the curve.
    under:
        What is sent of less than no light.
    electron:
        Light of one electron, as `electron_of` finds it; 0 of noise that is even.

    Returns
    -------
    Through
        Of every step.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log, light = published_curve("V-Log"), np.array([0.18])
    >>> found = noise_through(log, light, np.array([1e-4]))
    >>> bool(found.shift[0] < 0.0), bool(found.third[0] < 0.0)  # a logarithm bends down
    (True, True)
    """
    black = curve.encode(0.0)

    def spread(sigma: FloatArray) -> tuple[FloatArray, FloatArray]:
        at = light[:, None] + sigma[:, None] * _lopsided(light, sigma, electron)
        is_cut = under is Under.CUT
        through = curve.encode(np.maximum(at, 0.0)) if is_cut else _mirrored(curve, at, black)
        mean = through @ _WEIGHTS
        return mean, through - mean[:, None]

    ends = LEAST_NOISE * light, _MOST_NOISE * np.maximum(light, float(light.min()))
    sigma = _met(lambda tried: spread(tried)[1] ** 2 @ _WEIGHTS, variance, *ends)
    mean, rest = spread(sigma)
    return Through(
        sigma,
        mean - np.asarray(curve.encode(light)),
        np.asarray(rest**3 @ _WEIGHTS),
        light * np.sqrt(rest**2 @ _WEIGHTS) / sigma,
    )


def _lopsided(light: FloatArray, sigma: FloatArray, electron: float) -> FloatArray:
    """(steps, nodes), or (nodes,) of even noise: deviations at which noise is looked at."""
    if electron == 0.0:
        return np.asarray(_NODES)
    skewed = np.minimum(electron**2 * light / sigma**3, MOST_SKEWED)[:, None]
    return np.asarray((_NODES + skewed / 6.0 * _BENT) / np.sqrt(1.0 + skewed**2 / 18.0))


def _met(
    rises: Callable[[FloatArray], FloatArray], wanted: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Where what rises comes to what is wanted, or the end that is nearest to it.

    By false position, an end that stays counted half (Illinois; Dowell & Jarratt 1971), on
    logarithms: variances rise nearly as squares.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        x, y = np.log([low, high]), np.log([rises(low) / wanted, rises(high) / wanted])
        at = np.where(y[1] <= 0.0, x[1], x[0])
        is_open = (y[0] < 0.0) & (y[1] > 0.0)
        for _ in range(_MOST_TURNS):
            if not is_open.any():
                break
            at = np.where(is_open, x[1] - y[1] * (x[1] - x[0]) / (y[1] - y[0]), at)
            off = np.log(rises(np.exp(at)) / wanted)
            is_open &= (np.abs(off) > _MET) & (np.abs(x[1] - x[0]) > _MET)
            crossed = off * y[1] < 0.0
            x[0], y[0] = np.where(crossed, x[1], x[0]), np.where(crossed, y[1], 0.5 * y[0])
            x[1], y[1] = at, off
    return np.asarray(np.exp(at))


def encoded(curve: Encodes, light: FloatArray) -> FloatArray:
    """Values of light, that of less than none mirrored at black, as a straight end goes on.

    Parameters
    ----------
    curve, light:
        Light of any sign.

    Returns
    -------
    ndarray
        `v`, nominally 0 to 1, on the scale of the curve.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log = published_curve("S-Log3")
    >>> (1023.0 * encoded(log, np.array([-0.001, 0.0, 0.001]))).round(2).tolist()
    [88.23, 95.0, 101.77]
    """
    return _mirrored(curve, light, curve.encode(0.0))


def _mirrored(curve: Encodes, light: FloatArray, black: float | FloatArray) -> FloatArray:
    """The same where the value of no light is known already."""
    value = np.asarray(curve.encode(np.abs(light)))
    return np.where(light < 0.0, 2.0 * black - value, value)


def spread_of_none(curve: Encodes, variance: float) -> float:
    """Variance of the values of no light, whose noise has that variance in light.

    Parameters
    ----------
    curve, variance:
        As of `noise_through`.

    Returns
    -------
    float
        In squares of `v`, which is nominally 0 to 1, sent as it is where it is less than none.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> spread = spread_of_none(published_curve("S-Log3"), 0.0008**2)
    >>> round(1023.0 * spread**0.5, 2)  # its straight end rises by 6774 codes
    5.42
    """
    values = encoded(curve, _NODES * variance**0.5) - curve.encode(0.0)
    return float(values**2 @ _WEIGHTS)


def electron_of(light: FloatArray, sigma: FloatArray) -> float:
    """Light of one electron, by how variance rises with light: least squares of its shares.

    Parameters
    ----------
    light, sigma:
        (steps,) light, and the deviation of its noise.

    Returns
    -------
    float
        0 where variance does not rise.

    Examples
    --------
    >>> light = np.array([0.001, 0.01, 0.1])
    >>> round(electron_of(light, np.sqrt(1e-6 + 4e-4 * light)), 6)
    0.0004
    """
    known = sigma > 2.0 * LEAST_NOISE * light
    if np.count_nonzero(known) < 2:
        return 0.0
    rows = np.stack([np.ones(known.sum()), light[known]], axis=1) / sigma[known, None] ** 2
    read, electron = np.linalg.lstsq(rows, np.ones(len(rows)), rcond=None)[0]
    if read < 0.0:  # all of it rises
        electron = float(np.median(sigma[known] ** 2 / light[known]))
    return max(float(electron), 0.0)
