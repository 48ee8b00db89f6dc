"""By how much noise moves the mean of codes where the curve behind it is bent.

Noise of a sensor is there before the curve. Light x with noise n comes out as f(x + n), and where f
is bent its mean is not f(x): by f'' s^2 / 2 to begin with (of a logarithm 0.03 stop at a signal to
noise of 5). A spot is read as a mean of light, so that the curve wanted is f, not what means of
codes lie on. Noise that came after the curve moves nothing. Which of the two it is, samples show:
a bent curve makes them lopsided (their third moment is 3 f'^2 f'' s^4), noise after it does not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.characterise.bracket_steps import value_of
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.curves import Curve, stops_to_linear
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Signal

LUMA = np.array([0.2126, 0.7152, 0.0722])
"""ITU-R BT.709-6 item 3.2. Of a grey card the other matrices' weights lie so near that what noise
shares out over the channels differs by less than a tenth."""

DITHERED = 0.6
"""Deviation of noise, in steps of the codes, from which on rounding leaves its third moment alone
to a hundredth (`spot.rounding`)."""

ROUNDED = 1.0 / 12.0
"""Square of the deviation that rounding adds, in steps."""

EVEN = 0.3
"""Third moment of a cap's samples over the third power of their deviation: half a normal has 1.0,
an even one of 2000 samples less than 0.11 in 19 of 20 cases."""

STRAIGHT = 0.05
"""Shift over the noise up to which a dark end is straight: only such is known below no light."""

HALF = 0.5
"""A share of which nothing is known."""

LEAST_SURE = 0.1
"""Share of the whole shift by which it may be off at least: noise is hardly ever quite normal, and
that of the channels is shared in part."""

Z95 = 1.96
LEAST_NOISE = 1e-3
"""Of the light, so that the slope can be told of what noise spans where there is none."""
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(31)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_HALVINGS = 40
_MOST_NOISE = 8.0
"""Times the light, or the darkest step's, that noise is tried up to."""


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """What noise before the curve does to the means of steps.

    Attributes
    ----------
    codes:
        (steps,) by how much the mean lies over the curve; below 0 where the curve flattens.
    pm:
        (steps,) its 95 % half width, in codes.
    share:
        How much of the noise was there before the curve, 0 to 1, by the shape of its samples.
    signal:
        (steps,) on the scale of the curve, what stands against the noise of its codes: light by the
        slope of the curve, which for noise before it is the mean one over what the noise spans.
    """

    codes: FloatArray
    pm: FloatArray
    share: float
    signal: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _Noisy:
    """A channel, (steps,) on the scale of the curve.

    By how much its mean lies over it, what of that is unknown, its third moment, and light by the
    slope over all that the noise spans.
    """

    shift: FloatArray
    unknown: FloatArray
    third: FloatArray
    signal: FloatArray


def goes_below(cap: CodeReading, step: float, signal: Signal) -> bool:
    """Whether less than no light, as noise makes it, is sent as it is: what a cap's samples show.

    Where a camera ends at black instead they lie on one side of it.

    Parameters
    ----------
    cap, step, signal:
        As of `bent_by_noise`; cap of no light.

    Returns
    -------
    bool
        False too where it does not show.

    Examples
    --------
    >>> around_black = Tally(first=62, counts=(10, 20, 40, 20, 10), independent=100.0)
    >>> goes_below(CodeReading(64.0, 0.1, noise=1.1, tally=around_black), 1.0, Signal(bits=10))
    True
    >>> cut_at_black = Tally(first=64, counts=(60, 30, 10), independent=100.0)
    >>> goes_below(CodeReading(64.5, 0.1, noise=0.7, tally=cut_at_black), 1.0, Signal(bits=10))
    False
    """
    if not _is_whole(cap, step, picture_codes(signal)[0]):
        return False
    assert cap.tally is not None  # it is whole
    variance, third = _moments(cap.tally)
    return bool(abs(third) <= EVEN * variance**1.5)


def bent_by_noise(
    stops: FloatArray,
    readings: Sequence[CodeReading],
    curve: Curve,
    step: float,
    signal: Signal,
    below: bool = False,
) -> Bent:
    """What noise before a curve does to the means of steps.

    Parameters
    ----------
    stops, readings:
        Of each step, in codes of the signal.
    curve:
        On the whole code scale, as far as it is known.
    step:
        Codes from one in use to the next.
    signal:
        Of the feed.
    below:
        Whether the camera `goes_below`: where its dark end is straight, that is then known.

    Returns
    -------
    Bent
        In codes of the signal.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> still = [CodeReading(code, 0.1) for code in (344.0, 420.0, 496.0)]
    >>> stops, log = np.array([-1.0, 0.0, 1.0]), published_curve("S-Log3")
    >>> bent = bent_by_noise(stops, still, log, 1.0, Signal(bits=10))
    >>> np.abs(bent.codes).round(3).tolist()  # there is no noise to bend them
    [0.0, 0.0, 0.0]
    """
    width = value_of(1.0, signal) - value_of(0.0, signal)
    luma = np.array([max(r.noise**2 - ROUNDED * step**2, 0.0) for r in readings]) * width**2
    apart = np.array([_apart(reading) for reading in readings])
    light = np.asarray(stops_to_linear(stops))
    noisy = _noisy(curve, light, luma * apart)
    lopsided = noisy.third * _shared_third(apart)
    share, pm = _before(lopsided / width**3, readings, step, picture_codes(signal)[0])
    straight = below & (np.abs(noisy.shift) <= STRAIGHT * np.sqrt(luma * apart))
    off = np.abs(noisy.shift) * pm + np.where(straight, 0.0, share * noisy.unknown)
    above = np.asarray(curve.encode(light * 1.02)) - np.asarray(curve.encode(light * 0.98))
    stands = share * noisy.signal + (1.0 - share) * above / 0.04
    return Bent(share * noisy.shift / width, off / width, share, stands)


def _apart(reading: CodeReading) -> float:
    """Mean variance of the channels over that of luma: 1 where they share noise, 1.78 at most."""
    if reading.channels is None or reading.noise <= 0.0:
        return 1.0
    mean = float(LUMA @ np.square(reading.channels))
    return float(np.clip(mean / reading.noise**2, 1.0, 1.0 / (LUMA**2).sum()))


def _shared_third(apart: FloatArray) -> FloatArray:
    """(steps,) third moment of luma over that of a channel.

    Of a noise that all share it is 1, of noises apart the sum of the weights' cubes; between these
    as the variance is.
    """
    alone = float((LUMA**2).sum())
    part = (1.0 / apart - alone) / (1.0 - alone)
    cubes = float((LUMA**3).sum())
    return np.asarray(cubes + (1.0 - cubes) * part)


def _noisy(curve: Curve, light: FloatArray, variance: FloatArray) -> _Noisy:
    """What a channel of light with normal noise becomes, whose codes have that variance."""
    least = float(light.min())
    low = np.zeros_like(light)
    high = _MOST_NOISE * np.maximum(light, least)

    def moments(sigma: FloatArray) -> tuple[FloatArray, FloatArray]:
        through = _encoded(curve, light[:, None] + sigma[:, None] * _NODES)
        mean = through @ _WEIGHTS
        return mean, through - mean[:, None]

    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        _, rest = moments(middle)
        over = rest**2 @ _WEIGHTS > variance
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    sigma = np.maximum(0.5 * (low + high), LEAST_NOISE * light)
    mean, rest = moments(sigma)
    # What a camera sends of less than no light is its own affair: here nothing.
    dark = _encoded(curve, np.maximum(light[:, None] + sigma[:, None] * _NODES, 0.0)) @ _WEIGHTS
    return _Noisy(
        mean - np.asarray(curve.encode(light)),
        np.abs(dark - mean),
        np.asarray(rest**3 @ _WEIGHTS),
        light * np.sqrt(rest**2 @ _WEIGHTS) / sigma,
    )


def _encoded(curve: Curve, light: FloatArray) -> FloatArray:
    """Values of light, that of less than none mirrored at black, as a straight end goes on."""
    value = np.asarray(curve.encode(np.abs(light)))
    return np.where(light < 0.0, 2.0 * curve.encode(0.0) - value, value)


def _before(
    third: FloatArray, readings: Sequence[CodeReading], step: float, lowest: int
) -> tuple[float, float]:
    """How much of the noise was there before the curve, and its 95 % half width.

    Least squares of the third moments seen over those that noise before the curve makes; that of n
    normal samples has the variance 6 s^6 / n.
    """
    wanted, seen = 0.0, 0.0
    for made, reading in zip(third, readings, strict=True):
        tally = reading.tally
        if tally is None or not _is_whole(reading, step, lowest):
            continue
        variance, moment = _moments(tally)
        weight = tally.independent / (6.0 * variance**3)
        wanted += weight * float(made) ** 2
        seen += weight * float(made) * moment
    if wanted <= Z95**2 / HALF**2:  # half a share is not told from none
        return HALF, HALF
    share = float(np.clip(seen / wanted, 0.0, 1.0))
    pm = max(Z95 / wanted**0.5, LEAST_SURE)
    if min(share, 1.0 - share) <= pm:  # all before the curve, or all after it, as cameras are
        share = float(round(share))
    return share, pm


def _is_whole(reading: CodeReading, step: float, lowest: int) -> bool:
    """Whether its samples were counted, none of them is cut off, and rounding is dithered."""
    tally = reading.tally
    return tally is not None and tally.first > lowest and reading.noise >= DITHERED * step


def _moments(tally: Tally) -> tuple[float, float]:
    """Variance and third moment about the mean of counted samples, in codes."""
    counts = np.array(tally.counts, np.float64)
    away = np.arange(counts.size) - counts @ np.arange(counts.size) / counts.sum()
    return float(counts @ away**2 / counts.sum()), float(counts @ away**3 / counts.sum())
