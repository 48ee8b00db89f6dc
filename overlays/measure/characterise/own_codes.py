"""Level and noise behind the rounded codes of one step, told by these alone.

Three codes and more with samples enough tell both (see `rounded`). The likeliest pair is found by
scoring, and how sure its level is by Fisher's information of the two (Rao 1973, Linear Statistical
Inference, 5g and 6e): the bound of Cramer and Rao, which many samples reach. Codes beyond three say
whether the noise is normal; where it is not, the half width is wider by that (a quasi-likelihood).
"""

import math
from dataclasses import dataclass

import numpy as np

from overlays.measure.feedcheck.readings import Tally
from overlays.signal.levels import FloatArray

ROUNDED = 12.0**-0.5
"""Deviation of an even spread over one step, which rounding adds."""

FEWEST = 20.0
LEAST_SHARE = 0.001
"""Independent samples, and share of all, that must lie on the third most frequent code: fewer say
how far a normal noise reaches, and no noise is normal so far out."""

LEAST_NOISE = 0.15
"""Of which a step that has three codes can be, in steps."""
LEAST_APART = 1e-9
"""Share of their information that level and noise must not have in common."""
TURNS = 30
SETTLED = 1e-6
MOST_MOVED = 0.1
Z95 = 1.96

_erf = np.vectorize(math.erf, otypes=[np.float64])


@dataclass(frozen=True, slots=True)
class Behind:
    """What lies behind the codes of one step.

    Attributes
    ----------
    code, code_pm:
        Level in codes, and its half width at 95 %.
    noise, noise_low, noise_high:
        Deviation of a sample, with what rounding adds to it: the likeliest, and the ends at 95 %.
    """

    code: float
    code_pm: float
    noise: float
    noise_low: float
    noise_high: float


def own_of(tally: Tally, step: int) -> Behind | None:
    """What lies behind the codes of a step by these alone.

    Parameters
    ----------
    tally:
        Of the step; its lowest code may hold all that lies below it too.
    step:
        Codes from one in use to the next.

    Returns
    -------
    Behind | None
        None where fewer than three codes have samples enough.

    Examples
    --------
    >>> tally = Tally(first=419, counts=(100, 600, 300), independent=1000.0)
    >>> found = own_of(tally, step=1)
    >>> round(found.code, 2), round(found.code_pm, 3), round(found.noise, 2)
    (420.21, 0.039, 0.62)
    """
    counts = np.array(tally.counts[::step], np.float64)
    total = float(counts.sum())
    worth = min(tally.independent / total, 1.0)
    ranked = np.sort(counts)[::-1]
    if counts.size < 3 or ranked[2] < max(FEWEST / worth, LEAST_SHARE * total):
        return None
    edges: FloatArray = tally.first / step + np.arange(counts.size + 1, dtype=np.float64) - 0.5
    edges[-1] = np.inf
    edges[0] = -np.inf
    at = _likeliest(counts, edges)
    if at is None:
        return None
    shares, slopes = _shares(edges, *at)
    information = worth * total * (slopes / shares) @ slopes.T
    if not _is_told(information):
        return None
    spread = np.sqrt(_misfit(counts, shares, worth) * np.diag(np.linalg.inv(information)))
    level_pm, noise_pm = Z95 * spread
    noise = [
        step * math.hypot(max(each, 0.0), ROUNDED)
        for each in (at[1], at[1] - noise_pm, at[1] + noise_pm)
    ]
    return Behind(step * at[0], step * float(level_pm), noise[0], noise[1], noise[2])


def _likeliest(counts: FloatArray, edges: FloatArray) -> tuple[float, float] | None:
    """Level and deviation by scoring, in steps; None where that does not settle."""
    codes = edges[1:-1].min() - 0.5 + np.arange(counts.size)
    level = float(counts @ codes / counts.sum())
    spread = float(counts @ (codes - level) ** 2 / counts.sum()) - ROUNDED**2
    at = np.array([level, max(spread, LEAST_NOISE**2) ** 0.5])
    for _ in range(TURNS):
        shares, slopes = _shares(edges, *at)
        score = slopes @ (counts / shares)
        information = counts.sum() * (slopes / shares) @ slopes.T
        if not _is_told(information):
            return None
        move = np.clip(np.linalg.solve(information, score), -MOST_MOVED, MOST_MOVED)
        at = at + move
        if not np.isfinite(at).all() or at[1] < LEAST_NOISE:
            return None
        if np.abs(move).max() < SETTLED:
            return float(at[0]), float(at[1])
    return None


def _is_told(information: FloatArray) -> bool:
    """Whether samples tell level and noise apart."""
    together = float(information[0, 0] * information[1, 1])
    return bool(np.isfinite(information).all()) and bool(
        together - float(information[0, 1]) ** 2 > LEAST_APART * together > 0.0
    )


def _shares(edges: FloatArray, level: float, noise: float) -> tuple[FloatArray, FloatArray]:
    """(codes,) shares of a normal noise, and (2, codes) their slopes by level and by noise."""
    away = (edges - level) / noise
    below = 0.5 + 0.5 * _erf(away / math.sqrt(2.0))
    finite = np.where(np.isfinite(away), away, 0.0)
    height = np.where(np.isfinite(away), np.exp(-0.5 * finite**2) / math.sqrt(2.0 * math.pi), 0.0)
    slopes = -np.stack([np.diff(height), np.diff(finite * height)]) / noise
    return np.maximum(np.diff(below), 1e-12), slopes


def _misfit(counts: FloatArray, shares: FloatArray, worth: float) -> float:
    """How much less the codes agree with a normal noise than chance has it; 1 at least."""
    more = counts.size - 3
    if more < 1:
        return 1.0
    wanted = counts.sum() * shares
    off = worth * float(np.sum((counts - wanted) ** 2 / np.maximum(wanted, 1.0)))
    return max(1.0, off / more)
