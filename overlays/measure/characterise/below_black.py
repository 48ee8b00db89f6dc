"""What a camera makes of less than no light, as noise makes it: sent as it is, or cut off at black.

Of steps as dark as noise half the samples lie under black, and what is sent of these moves their
mean. A cap shows it by the shape of its samples: what is cut off at black lies on one side. Where
codes are too coarse for a shape, its spread still says it: noise has a variance straight in light
(EMVA 1288), of which that of a cap falls short by two thirds where it is cut.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from overlays.measure.characterise.bracket_steps import value_of
from overlays.measure.characterise.noise_through import Under, noise_through, spread_of_none
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.curves import Curve, stops_to_linear
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Matrix, Signal

LUMA = np.array(Matrix.BT709.weights)
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

MOST_CUT = 0.02
"""Share of a cap's samples on the lowest code up to which their shape is seen: of a normal noise
that makes its third moment 0.1 at most."""

ONE_SIDED = 0.6
"""The same from which on they lie on one side: luma of three halves of a normal has 0.9."""

LIFTED = 0.7
CUT_OPEN = 0.2
"""Of the deviation of a cap that is cut off at black, by which its mean lies over that: half a
normal's lies 0.68 over it, and behind a square root 0.86. And how far all that may be otherwise."""

LIT = 2.0
"""Deviations of noise of which a step has more light, so that little of it lies under black."""

DARKEST, FEWEST = 12, 5
"""Of these the steps whose noise says what that of a cap should be, and the fewest."""

LEAST_READ = 0.15
"""Of the variance of the darkest of them that must be there without light."""

WHOLE = (0.58, 1.72)
"""Variance of a cap over what it should be, so that it is nearer to that, as ratios go, than to a
cap that is cut off at black: half a normal has 0.34 of the variance of a whole one."""


def shown_below(cap: CodeReading, step: float, signal: Signal) -> Under | None:
    """What is sent of less than no light, as noise makes it: what a cap's samples show.

    Where a camera ends at black they lie on one side of it.

    Parameters
    ----------
    cap, step, signal:
        Of no light, in codes; codes from one in use to the next; and of which signal.

    Returns
    -------
    Under | None
        None where it does not show.

    Examples
    --------
    >>> around_black = Tally(first=62, counts=(10, 20, 40, 20, 10), independent=100.0)
    >>> cap = CodeReading(64.0, 0.1, noise=1.1, tally=around_black)
    >>> shown_below(cap, 1.0, Signal(bits=10)).value
    'mirrored'
    >>> cut_at_black = Tally(first=64, counts=(60, 30, 10), independent=100.0)
    >>> cap = CodeReading(64.5, 0.1, noise=0.7, tally=cut_at_black)
    >>> shown_below(cap, 1.0, Signal(bits=10)).value
    'cut'
    """
    tally, lowest = cap.tally, picture_codes(signal)[0]
    if tally is None or cap.noise < DITHERED * step:
        return None
    if sum(tally.counts[: max(lowest + 1 - tally.first, 0)]) > MOST_CUT * sum(tally.counts):
        return None
    variance, third = moments(tally)
    if abs(third) <= EVEN * variance**1.5:
        return Under.MIRRORED
    return Under.CUT if third >= ONE_SIDED * variance**1.5 else None


def black_of(cap: CodeReading, under: Under | None, step: float) -> tuple[float, float]:
    """Code of no light, and its half width: a mean of what is cut off at black lies above it.

    Parameters
    ----------
    cap, under, step:
        Of no light, what it shows of less than that, and codes from one in use to the next.

    Returns
    -------
    tuple[float, float]
        In codes.

    Examples
    --------
    >>> cap = CodeReading(64.5, 0.01, noise=0.6)
    >>> black_of(cap, Under.MIRRORED, 1.0)
    (64.5, 0.01)
    >>> code, pm = black_of(cap, Under.CUT, 1.0)
    >>> round(code, 2), round(pm, 2)
    (64.13, 0.12)
    """
    if under is Under.MIRRORED:
        return cap.code, cap.code_pm
    noise = luma_variance(cap.noise, step) ** 0.5
    if under is Under.CUT:
        return cap.code - LIFTED * noise, cap.code_pm + CUT_OPEN * noise
    return cap.code, cap.code_pm + LIFTED * noise


def with_black(cap: CodeReading, under: Under | None, share: float, step: float) -> CodeReading:
    """A cap whose level is that of no light, so much of its noise being there before the curve.

    Parameters
    ----------
    cap, under, step:
        As of `black_of`.
    share:
        Of the noise, 0 to 1: what comes after the curve is cut off by nothing.

    Returns
    -------
    CodeReading
        Its level and half width moved by that share.

    Examples
    --------
    >>> cap = CodeReading(64.5, 0.01, noise=0.6)
    >>> with_black(cap, Under.CUT, 0.0, 1.0).code
    64.5
    """
    code, pm = black_of(cap, under, step)
    code, pm = (a + share * (b - a) for a, b in ((cap.code, code), (cap.code_pm, pm)))
    return replace(cap, code=code, code_pm=pm)


def below_by_spread(
    cap: CodeReading,
    stops: FloatArray,
    readings: Sequence[CodeReading],
    curve: Curve,
    step: float,
    signal: Signal,
) -> Under | None:
    """What the spread of a cap shows of less than no light, by that of steps with light.

    Parameters
    ----------
    cap, step, signal:
        As of `shown_below`.
    stops, readings:
        Of each step, in codes of the signal.
    curve:
        On the whole code scale, as far as it is known.

    Returns
    -------
    Under | None
        Only that it is sent as it is: less spread than that may have been smoothed.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log, stops = published_curve("S-Log3"), np.arange(-7.0, -2.0)
    >>> readings = [CodeReading(1023.0 * log.stops_to_value(s), 0.01, noise=5.0) for s in stops]
    >>> still = CodeReading(95.0, 0.01, noise=0.3)
    >>> below_by_spread(still, stops, readings, log, 1.0, Signal(bits=10)) is None
    True
    """
    if cap.tally is None or cap.tally.first <= picture_codes(signal)[0]:
        return None
    width = value_of(1.0, signal) - value_of(0.0, signal)
    spread = [luma_variance(r.noise, step) * apart_of(r) * width**2 for r in readings]
    light = np.asarray(stops_to_linear(stops))
    variance = noise_through(curve, light, np.array(spread)).sigma ** 2
    lit = np.flatnonzero(light > LIT * np.sqrt(variance))[:DARKEST]
    if len(lit) < FEWEST:
        return None
    rows = np.stack([np.ones(len(lit)), light[lit]], axis=1) / variance[lit, None]
    read = float(np.linalg.lstsq(rows, np.ones(len(lit)), rcond=None)[0][0])
    if read < LEAST_READ * float(variance[lit[0]]):
        return None
    whole = spread_of_none(curve, read)
    ends = cap.noise_ends or (cap.noise, cap.noise)
    low, high = (luma_variance(n, step) * apart_of(cap) * width**2 / whole for n in ends)
    return Under.MIRRORED if low >= WHOLE[0] and high <= WHOLE[1] else None


def luma_variance(noise: float, step: float) -> float:
    """Variance of luma without what rounding adds.

    Parameters
    ----------
    noise, step:
        Deviation of a sample, and codes from one in use to the next.

    Returns
    -------
    float
        In codes squared.

    Examples
    --------
    >>> round(luma_variance(1.0, 1.0), 3)
    0.917
    """
    return max(noise**2 - ROUNDED * step**2, 0.0)


def apart_of(reading: CodeReading) -> float:
    """Mean variance of the channels over that of luma: 1 where they share noise, 1.78 at most.

    Parameters
    ----------
    reading:
        Of a grey card, or a cap.

    Returns
    -------
    float
        1 where nobody looked at its channels.

    Examples
    --------
    >>> apart_of(CodeReading(420.0, 0.1, noise=1.0))
    1.0
    """
    if reading.channels is None or reading.noise <= 0.0:
        return 1.0
    mean = float(LUMA @ np.square(reading.channels))
    return float(np.clip(mean / reading.noise**2, 1.0, 1.0 / (LUMA**2).sum()))


def moments(tally: Tally) -> tuple[float, float]:
    """Variance and third moment about the mean of counted samples.

    Parameters
    ----------
    tally:
        Of a reading.

    Returns
    -------
    tuple[float, float]
        In codes squared, and cubed.

    Examples
    --------
    >>> moments(Tally(first=419, counts=(1, 2, 1), independent=4.0))
    (0.5, 0.0)
    """
    counts = np.array(tally.counts, np.float64)
    away = np.arange(counts.size) - counts @ np.arange(counts.size) / counts.sum()
    return float(counts @ away**2 / counts.sum()), float(counts @ away**3 / counts.sum())
