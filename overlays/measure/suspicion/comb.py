"""A comb of codes: a range that was counted anew by whatever lies between, at the same depth."""

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Range, Signal

FloatArray = npt.NDArray[np.float64]

LEAST_COUNT = 200.0
"""Pixels on a code from which on its count is sure to 14 % (2 / sqrt(200): counting noise)."""

LEAST_TEETH = 12
"""Codes of a comb that must show it."""

DOUBLED = 1.6
"""Times its neighbours that a doubled code holds: 2, less what noise behind the way fills in."""

HALVED = 0.4
"""Times its neighbours that an empty code holds at most."""

NEVER = 0.02
"""Times its neighbours that a code holds at most which never occurs: a codec may add some."""

MOSTLY = 0.9
"""Of the distances from one such code to the next that must be alike."""


def teeth(bits: int) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Codes that are doubled where full range was made limited, and empty where limited was full.

    Parameters
    ----------
    bits:
        Depth of the codes.

    Returns
    -------
    tuple[ndarray, ndarray]
        Whole codes of that depth, each rising: by the arithmetic of the two scales (ITU-R BT.2100-2
        Table 9), rounded to whole codes.

    Examples
    --------
    >>> doubled, empty = teeth(8)
    >>> len(doubled), len(empty)
    (36, 36)
    """
    limited = luma_scale(Signal(bits))
    every = np.arange(limited.top + 1)
    squeezed = np.rint(limited.zero + every * limited.span / limited.top).astype(np.int64)
    reached = np.arange(limited.zero, limited.zero + limited.span + 1)
    stretched = np.rint((reached - limited.zero) * limited.top / limited.span).astype(np.int64)
    doubled = np.flatnonzero(np.bincount(squeezed, minlength=limited.top + 1) > 1)
    return doubled, np.setdiff1d(every, stretched)


def comb(counts: FloatArray, bits: int, signal: Signal) -> Suspicion | None:
    """Codes that are doubled, or never occur, at regular distances.

    Parameters
    ----------
    counts:
        Pixels by code, of one frame or of several together.
    bits:
        Depth of these codes.
    signal:
        What they are read as.

    Returns
    -------
    Suspicion | None
        With the share of the comb's codes that show it.

    Examples
    --------
    >>> counts = np.full(256, 1000.0)
    >>> counts[20:230:10] = 0.0  # every tenth code never occurs
    >>> comb(counts, 8, Signal(bits=8)).sign.name, comb(np.full(256, 1000.0), 8, Signal(bits=8))
    ('COMB', None)
    """
    if signal.range not in {Range.LIMITED, Range.FULL}:
        return None  # it is known to have been counted anew
    neighbours = 0.5 * (counts[:-2] + counts[2:])
    smooth = np.minimum(counts[:-2], counts[2:]) >= LEAST_COUNT
    smooth &= np.maximum(counts[:-2], counts[2:]) <= 2.0 * np.minimum(counts[:-2], counts[2:])
    ratio = counts[1:-1] / np.maximum(neighbours, 1.0)
    doubled, empty = (set(each.tolist()) for each in teeth(bits))
    inner = np.arange(1, counts.size - 1)
    for comb, limit in ((doubled, DOUBLED), (empty, -HALVED)):
        is_tooth = np.isin(inner, list(comb)) & smooth
        others = ~np.isin(inner, list(comb)) & smooth
        if np.count_nonzero(is_tooth) < LEAST_TEETH or np.count_nonzero(others) < LEAST_TEETH:
            continue
        tooth, rest = float(np.median(ratio[is_tooth])), float(np.median(ratio[others]))
        shows = tooth > limit if limit > 0.0 else tooth < -limit
        if shows and 0.75 < rest < 1.3:
            shown = ratio[is_tooth] > limit if limit > 0.0 else ratio[is_tooth] < -limit
            share, of = float(np.mean(shown)), np.count_nonzero(is_tooth)
            return Suspicion(Sign.COMB, share, 1.96 * float(np.sqrt(0.25 / of)))
    return _regular(ratio, smooth)


def _regular(ratio: FloatArray, smooth: npt.NDArray[np.bool_]) -> Suspicion | None:
    """Codes that never occur, at distances that are alike: levels were made more by any factor.

    A factor of f leaves every 1 / (f - 1) th code empty, to the next whole one.
    """
    none = np.flatnonzero((ratio < NEVER) & smooth)
    apart = np.diff(none)
    if apart.size < LEAST_TEETH:
        return None
    usual = np.median(apart)
    alike = np.abs(apart - usual) <= 1.0
    others = smooth.copy()
    others[none] = False
    if usual < 2.0 or float(np.mean(alike)) < MOSTLY or np.count_nonzero(others) < LEAST_TEETH:
        return None
    if not 0.75 < float(np.median(ratio[others])) < 1.3:
        return None
    return Suspicion(Sign.COMB, float(np.mean(alike)), 1.96 * float(np.sqrt(0.25 / apart.size)))
