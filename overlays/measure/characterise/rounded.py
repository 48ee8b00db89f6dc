"""Level and noise behind rounded codes, told by how those of several steps are shared out.

Where noise is less than half a code, the mean of rounded codes says little (`spot.uncertainty`),
but how many samples lie on each code says more: of a normal noise of deviation s about a level x
the share on code k is Phi((k + 1/2 - x) / s) - Phi((k - 1/2 - x) / s). A step with three codes
tells both; one with two tells x for each s; one alone tells that s is small, by the codes it does
not have. Noise of a camera changes little from one step to the next, so that neighbours tell their
s together, as an interval: all that is likely enough (Wilks 1938, a likelihood ratio of chi squared
with one degree of freedom). Where they agree less than one s allows, the interval is wider by that
(a quasi-likelihood; McCullagh & Nelder, Generalized Linear Models, 1989, 9.2).

What it cannot know: noise that is not normal. Codecs leave such, and their steps are not judged so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from overlays.measure.characterise.own_codes import ROUNDED, Behind, own_of
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.levels import FloatArray

AROUND = 5
"""Steps that tell their noise together."""

LEAST_DITHERED = 0.75
"""Deviation of a step's codes, in steps of the codes, from which on rounding leaves less than
0.0001 of one in their mean (`spot.rounding.rounding_amplitude` of sqrt(0.75^2 - 1/12))."""

RATIO = 3.84
"""Chi squared of one degree of freedom that 95 % stay below."""

SIGMAS = np.append(0.001, np.geomspace(0.05, 0.85, 48))
"""Deviations of the noise that are tried, in steps; the first stands for none at all."""

FINE = 0.006
REACH = 0.6
"""Steps of codes between levels that are tried, and how far from the mean: rounding moves that by
half a step at the most."""
CUT_REACH = 1.5
"""The same downwards where the lowest code holds all that lies below it."""

SUNK = 4.0
"""Deviations, as they are seen, that a level may lie below the lowest code when half its samples or
more lie on that: of eight in ten it lies 2.2 below. It is not known then, and counts for little."""

LEAST_LIKELY = 1e-12
"""A share that is no less: of so few samples none says anything of it."""

_FINE_Z = 200
_FAR_Z = 9
_TABLE = np.arange(-_FAR_Z * _FINE_Z, _FAR_Z * _FINE_Z + 1) / _FINE_Z
_NORMAL = np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in _TABLE])


def code_step(tallies: Sequence[Tally]) -> int:
    """Codes from one in use to the next, in all steps of a bracket together.

    Parameters
    ----------
    tallies:
        Of every step; many levels between them.

    Returns
    -------
    int
        1, or more for content of fewer bits than its codes have.

    Examples
    --------
    >>> code_step([Tally(400, (5, 0, 0, 0, 7), 12.0), Tally(408, (3,), 3.0)])  # 8 bits in 10
    4
    """
    used = {t.first + n for t in tallies for n, count in enumerate(t.counts) if count}
    first = min(used)
    return max(math.gcd(*(each - first for each in used)), 1)


def behind(tallies: Sequence[Tally], lowest: int) -> list[Behind | None]:
    """What lies behind the codes of steps.

    Parameters
    ----------
    tallies:
        Of each step, the darkest first.
    lowest:
        Code that holds all that lies below it too.

    Returns
    -------
    list[Behind | None]
        None where noise dithers rounding, so that the mean itself says it.

    Examples
    --------
    >>> tally = Tally(first=420, counts=(500, 500), independent=1000.0)  # half on either code
    >>> found = behind([tally], lowest=4)[0]
    >>> round(found.code, 2)
    420.5
    """
    step = code_step(tallies)
    likely = [_likelihood(each, step, lowest) for each in tallies]
    shared = [_judged(place, likely, step) for place in range(len(tallies))]
    return [
        None if each is None else _surer(each, own_of(tally, step))
        for each, tally in zip(shared, tallies, strict=True)
    ]


def _surer(shared: Behind, own: Behind | None) -> Behind:
    """What neighbours tell of a step together, or its own codes where these say more."""
    return shared if own is None or own.code_pm > shared.code_pm else own


@dataclass(frozen=True, slots=True, eq=False)
class _Likelihood:
    """(levels,) tried, in steps, and (levels, SIGMAS) logarithms of how likely they are."""

    levels: FloatArray
    log: FloatArray

    @property
    def profile(self) -> FloatArray:
        """(SIGMAS,) of the likeliest level for each."""
        found: FloatArray = self.log.max(axis=0)
        return found


def _likelihood(tally: Tally, step: int, lowest: int) -> _Likelihood | None:
    counts = np.array(tally.counts[::step], np.float64)
    codes = tally.first / step + np.arange(counts.size)
    mean = float(counts @ codes / counts.sum())
    if float(counts @ (codes - mean) ** 2 / counts.sum()) >= LEAST_DITHERED**2:
        return None
    is_cut = tally.first <= lowest
    levels = np.arange(mean - (CUT_REACH if is_cut else REACH), mean + REACH, FINE)
    edges = np.append(codes - 0.5, codes[-1] + 0.5)
    if is_cut:
        edges[0] = -1e6
    away = (edges[:, None, None] - levels[:, None]) * (_FINE_Z / SIGMAS)
    at = np.rint(np.clip(away, -_FAR_Z * _FINE_Z, _FAR_Z * _FINE_Z)).astype(np.int64)
    shares = np.diff(_NORMAL[at + _FAR_Z * _FINE_Z], axis=0)
    log = np.tensordot(counts, np.log(np.maximum(shares, LEAST_LIKELY)), 1)
    return _Likelihood(levels, log * min(tally.independent / counts.sum(), 1.0))


def _judged(place: int, likely: Sequence[_Likelihood | None], step: int) -> Behind | None:
    own = likely[place]
    if own is None:
        return None
    first = max(min(place - AROUND // 2, len(likely) - AROUND), 0)
    near = [each for each in likely[first : first + AROUND] if each is not None]
    together = np.sum([each.profile for each in near], axis=0)
    apart = 2.0 * (sum(float(each.profile.max()) for each in near) - float(together.max()))
    limit = RATIO * max(1.0, apart / max(len(near) - 1, 1))
    found = np.flatnonzero(2.0 * (together.max() - together) <= limit)
    best = float(SIGMAS[int(together.argmax())])
    # The truth lies between those that were tried.
    sigmas = SIGMAS[max(found[0] - 1, 0) : found[-1] + 2]
    low = 0.0 if sigmas[0] == SIGMAS[0] else float(sigmas[0])
    log = own.log[:, max(found[0] - 1, 0) : found[-1] + 2]
    levels = own.levels[(2.0 * (log.max(axis=0) - log) <= limit).any(axis=1)]
    middle, half = 0.5 * float(levels[0] + levels[-1]), 0.5 * float(np.ptp(levels)) + FINE
    noise = [step * math.hypot(each, ROUNDED) for each in (best, low, float(sigmas[-1]))]
    return Behind(step * middle, step * half, *noise)


def taken_back(readings: Sequence[CodeReading], lowest: int) -> list[CodeReading]:
    """Readings with what rounding did to them taken back, as far as their codes say it.

    Parameters
    ----------
    readings:
        The darkest first, those of little noise with their tallies.
    lowest:
        Code that holds all that lies below it too.

    Returns
    -------
    list[CodeReading]
        In their order; those that were not counted as they are.

    Examples
    --------
    >>> noisy = Tally(first=418, counts=(60, 240, 400, 240, 60), independent=1000.0)
    >>> reading = CodeReading(420.0, 0.1, noise=1.0, tally=noisy)
    >>> taken_back([reading], lowest=4) == [reading]  # noise dithers its rounding
    True
    """
    counted = [n for n, each in enumerate(readings) if each.tally is not None]
    out = list(readings)
    tallies = [each.tally for each in readings if each.tally is not None]
    for n, found in zip(counted, behind(tallies, lowest) if tallies else [], strict=True):
        out[n] = _uncut(out[n], lowest) if found is None else _better(out[n], found, lowest)
    return out


def _better(reading: CodeReading, found: Behind, lowest: int) -> CodeReading:
    """What lies behind its codes; of its level their mean where that is the surer."""
    ends = (found.noise_low, found.noise_high)
    reading = replace(reading, noise=found.noise, noise_ends=ends)
    assert reading.tally is not None  # it was found of that
    if reading.tally.first > lowest and reading.code_pm <= found.code_pm:
        return reading
    return replace(reading, code=found.code, code_pm=found.code_pm)


def _uncut(reading: CodeReading, lowest: int) -> CodeReading:
    """What the lowest code lifts a mean by, where noise would reach below it, taken out."""
    tally = reading.tally
    if tally is None or tally.first > lowest:
        return reading
    share = sum(tally.counts[: lowest + 1 - tally.first]) / sum(tally.counts)
    normal = NormalDist()
    away = -normal.inv_cdf(min(share, 0.5))
    # Mean of max(x, lowest) less that of x, of a normal x (Tobin 1958).
    lift = reading.noise * (normal.pdf(away) - away * normal.cdf(-away))
    unknown = SUNK * reading.noise if share >= 0.5 else lift
    return replace(reading, code=reading.code - lift, code_pm=reading.code_pm + unknown)
