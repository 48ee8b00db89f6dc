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

from overlays.measure.characterise.below_black import (
    CUT_OPEN,
    DITHERED,
    LUMA,
    apart_of,
    luma_variance,
    moments,
)
from overlays.measure.characterise.bracket_steps import value_of
from overlays.measure.characterise.noise_through import (
    Encodes,
    Through,
    Under,
    electron_of,
    noise_through,
    power_toe,
)
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.curves import Curve, stops_to_linear
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Signal
from overlays.signal.tabled import TabledStops

STRAIGHT = 0.05
"""Shift over the noise up to which a dark end is straight: only such is known below no light."""

BENT_OPEN, TOE_OPEN = 0.2, 0.5
"""What stays open where a cap shows what is sent of less than no light but the dark end is bent: of
the way from there to the other end; and of that from a power of light below the darkest step to a
straight end."""

HALF = 0.5
"""A share of which nothing is known."""

LEAST_SURE = 0.1
"""Share of the whole shift by which it may be off at least: noise is hardly ever quite normal, and
that of the channels is shared in part."""

RATIO = 5.99
"""Chi squared of two degrees of freedom that 95 % stay below."""

FEWEST = 3
"""Steps whose samples must tell two shares."""

_TRIED = np.linspace(0.0, 1.0, 41)


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
    sizes:
        (steps,) deviation of the noise in light, if all of it was there before the curve.
    """

    codes: FloatArray
    pm: FloatArray
    share: float
    signal: FloatArray
    sizes: FloatArray


@dataclass(frozen=True, slots=True)
class _Part:
    """A share of the whole, 0 to 1, and its half width."""

    share: float
    pm: float


def bent_by_noise(
    stops: FloatArray,
    readings: Sequence[CodeReading],
    curve: Curve,
    step: float,
    signal: Signal,
    under: Under | None = None,
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
    under:
        What a cap shows of less than no light: where the dark end is straight, that is then known.

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
    luma = np.array([luma_variance(r.noise, step) for r in readings]) * width**2
    apart = np.array([apart_of(reading) for reading in readings])
    light = np.asarray(stops_to_linear(stops))
    end, toed = under or Under.MIRRORED, _with_toe(curve, light)
    even, shot, otherwise = _made(toed, light, luma * apart, end)
    plain = even if toed is curve else noise_through(curve, light, luma * apart, end)
    toe = np.abs(plain.shift - even.shift)
    third = _shared_third(apart) / width**3
    lowest = picture_codes(signal)[0]
    before, is_shot = _before(even.third * third, shot.third * third, readings, step, lowest)
    share, apart_by = before.share, shot.shift - even.shift
    shift = even.shift + is_shot.share * apart_by
    bends = np.minimum(np.abs(even.shift), np.abs(even.shift + otherwise))
    straight = bends <= STRAIGHT * np.sqrt(luma * apart)
    shown = {None: 1.0, Under.MIRRORED: 0.0, Under.CUT: CUT_OPEN}[under]
    bent = max(shown, BENT_OPEN)
    unknown = (
        np.where(straight, shown, bent) * np.abs(otherwise)
        + TOE_OPEN * toe
        + is_shot.pm * np.abs(apart_by)
    )
    off = np.abs(shift) * before.pm + share * unknown
    above = np.asarray(curve.encode(light * 1.02)) - np.asarray(curve.encode(light * 0.98))
    stands = share * even.signal + (1.0 - share) * above / 0.04
    return Bent(share * shift / width, off / width, share, stands, even.sigma)


def _shared_third(apart: FloatArray) -> FloatArray:
    """(steps,) third moment of luma over that of a channel.

    Of a noise that all share it is 1, of noises apart the sum of the weights' cubes; between these
    as the variance is.
    """
    alone = float((LUMA**2).sum())
    part = (1.0 / apart - alone) / (1.0 - alone)
    cubes = float((LUMA**3).sum())
    return np.asarray(cubes + (1.0 - cubes) * part)


def _with_toe(curve: Curve, light: FloatArray) -> Encodes:
    """A curve as it goes on below its darkest step: of a table nothing says that it is straight."""
    is_table = isinstance(curve.formula, TabledStops)
    return power_toe(curve, float(light.min())) if is_table else curve


def _made(
    curve: Encodes, light: FloatArray, variance: FloatArray, under: Under
) -> tuple[Through, Through, FloatArray]:
    """What even noise becomes, what shot noise does, and (steps,) how far it is to the other end.

    That is where of less than no light the other is sent than what is taken here.
    """
    even = noise_through(curve, light, variance, under)
    electron = electron_of(light, even.sigma)
    shot = noise_through(curve, light, variance, under, electron) if electron else even
    other = Under.CUT if under is Under.MIRRORED else Under.MIRRORED
    return even, shot, noise_through(curve, light, variance, other).shift - even.shift


def _before(
    even: FloatArray, shot: FloatArray, readings: Sequence[CodeReading], step: float, lowest: int
) -> tuple[_Part, _Part]:
    """How much of the noise was there before the curve, and how much of that is shot noise.

    Least squares of the third moments seen over those that even noise and shot noise make; that of
    n normal samples has the variance 6 s^6 / n. All shares of both are taken that are likely enough
    (Wilks 1938); where none agrees with the moments as well as chance has it, more are.
    """
    whole = [n for n, reading in enumerate(readings) if _is_whole(reading, step, lowest)]
    if len(whole) < FEWEST:
        return _Part(HALF, HALF), _Part(0.0, 1.0)
    seen, weight = np.array([_third(readings[n]) for n in whole]).T
    kinds = even[whole] + _TRIED[:, None] * (shot - even)[whole]
    made = _TRIED[:, None, None] * kinds
    beside = (seen - made) ** 2 @ weight  # (before, shot)
    limit = RATIO * max(1.0, float(beside.min()) / (len(whole) - 2))
    before, is_shot = np.nonzero(beside <= beside.min() + limit)
    low, high = float(_TRIED[is_shot].min()), float(_TRIED[is_shot].max())
    if low == 0.0:  # it may be even: then that is taken, and how much it may be shot noise said
        return _part(_TRIED[before], LEAST_SURE), _Part(0.0, high)
    return _part(_TRIED[before], LEAST_SURE), _Part(0.5 * (low + high), 0.5 * (high - low))


def _part(shares: FloatArray, least: float) -> _Part:
    """What shares that are likely enough leave: all or none where one of these is among them."""
    low, high = float(shares.min()), float(shares.max())
    if low <= least and high >= 1.0 - least:
        return _Part(HALF, HALF)
    if low <= least or high >= 1.0 - least:  # all before the curve or all after, as cameras are
        share = float(high >= 1.0 - least)
        return _Part(share, max(abs(share - low), abs(high - share), least))
    return _Part(0.5 * (low + high), max(0.5 * (high - low), least))


def _third(reading: CodeReading) -> tuple[float, float]:
    """Third moment of a reading's samples, and what it counts for."""
    assert reading.tally is not None  # it is whole
    variance, moment = moments(reading.tally)
    return moment, reading.tally.independent / (6.0 * variance**3)


def _is_whole(reading: CodeReading, step: float, lowest: int) -> bool:
    """Whether its samples were counted, none of them is cut off, and rounding is dithered."""
    tally = reading.tally
    return tally is not None and tally.first > lowest and reading.noise >= DITHERED * step
