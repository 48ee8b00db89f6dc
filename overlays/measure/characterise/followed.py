"""A step of a bracket over the frames that follow each other: how its level moves, and its middle.

A level that swings up and down by more than its ± allows is no setting's doing. Its middle is then
what the step is read as, where that of one frame is any place of the swing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.levels import FloatArray

SURE_HALF_WIDTHS = 2.0
"""Half widths of a frame's level by which half of what it swings must be more: four deviations."""

LEAST_TURNS = 2
"""Times that a level crosses its mean: what drifts, or jumps once, crosses it once."""

LEAST_STEPS = 2
"""Steps that must swing: at a single one somebody may have passed by."""

FITTED_PERIODS, FITTED_FRAMES = 1.0, 8
"""From so many periods and frames on a sine is told from the mean it swings about."""

FITTED_LEFT = 0.03
"""Share of half a swing by which the middle of a sine that was fitted may be off besides: periods
are tried in tenths."""

FREE = 4
"""Numbers of a sine that are fitted: middle, height, where it begins, period."""


@dataclass(frozen=True, slots=True)
class Swing:
    """How the card's level moved over the frames of one step.

    Attributes
    ----------
    low, high:
        Lowest and highest code.
    turns:
        Times that it crossed its mean by more than its ±.
    seconds:
        From the first frame to the last; 0 of one frame.
    is_more_than_noise:
        Whether it moved by more than noise explains.

    Examples
    --------
    >>> Swing(410.0, 430.0, turns=5, seconds=1.0, is_more_than_noise=True).is_up_and_down
    True
    """

    low: float
    high: float
    turns: int = 0
    seconds: float = 0.0
    is_more_than_noise: bool = False

    @property
    def is_up_and_down(self) -> bool:
        """Whether it moved as flicker does."""
        return self.is_more_than_noise and self.turns >= LEAST_TURNS


@dataclass(frozen=True, slots=True)
class Followed:
    """A step and the frames behind it.

    Attributes
    ----------
    first, mean:
        The reading of its first frame, and that of all frames, whose half width holds the part of a
        swing by which it may be off.
    swing:
        How its level moved; None of a single frame.
    """

    first: CodeReading
    mean: CodeReading
    swing: Swing | None = None


def followed(series: Sequence[tuple[float, CodeReading]]) -> Followed:
    """What the frames of a step say.

    Parameters
    ----------
    series:
        (seconds, reading) of at least one frame, in their order.

    Returns
    -------
    Followed
        Of the step.

    Examples
    --------
    >>> codes = [420.0 + 10.0 * (-1) ** n for n in range(8)]
    >>> found = followed([(0.04 * n, CodeReading(code, 0.2)) for n, code in enumerate(codes)])
    >>> found.swing.turns, found.swing.is_up_and_down, round(found.mean.code, 1)
    (7, True, 420.0)
    """
    first = series[0][1]
    if len(series) < 2:
        return Followed(first, first)
    seconds, codes = np.array([(at, reading.code) for at, reading in series]).T
    pm = max(reading.code_pm for _, reading in series)
    half, middle = 0.5 * float(np.ptp(codes)), float(codes.mean())
    sides = np.sign(codes[np.abs(codes - middle) > min(pm, 0.5 * half)] - middle)
    swing = Swing(
        low=float(codes.min()),
        high=float(codes.max()),
        turns=int(np.count_nonzero(np.diff(sides))),
        seconds=float(seconds[-1] - seconds[0]),
        is_more_than_noise=half > SURE_HALF_WIDTHS * pm,
    )
    mean, left = _mean_light(seconds, codes, swing.turns)
    return Followed(
        first, replace(first, code=mean, code_pm=first.code_pm + left, tally=None), swing
    )


def readings_of_steps(steps: Sequence[Followed]) -> list[CodeReading]:
    """One reading a step: where the light flickers the mean of its frames, else its first frame.

    Parameters
    ----------
    steps:
        Of a bracket.

    Returns
    -------
    list[CodeReading]
        As many. Of a step whose level jumped or drifted it is the first frame all the same: what
        is behind it may be the next step.

    Examples
    --------
    >>> swing = Swing(410.0, 430.0, turns=7, seconds=0.3, is_more_than_noise=True)
    >>> step = Followed(CodeReading(430.0, 0.2), CodeReading(420.0, 0.2), swing)
    >>> [reading.code for reading in readings_of_steps([step, step])]  # light flickers: their means
    [420.0, 420.0]
    >>> [reading.code for reading in readings_of_steps([step])]  # one alone may be something else
    [430.0]
    """
    if sum(s.swing is not None and s.swing.is_up_and_down for s in steps) < LEAST_STEPS:
        return [each.first for each in steps]
    return [
        s.first
        if s.swing is None or (s.swing.is_more_than_noise and not s.swing.is_up_and_down)
        else s.mean
        for s in steps
    ]


def _mean_light(seconds: FloatArray, codes: FloatArray, turns: int) -> tuple[float, float]:
    """The mean of a level that swings, and by how many codes that may be off.

    So many turns are at least half as many periods less a half. Where they hold a period and more
    it is the middle of the sine that fits best, whichever frames are missing; else their plain
    mean, which a sine is off by 1 / pi of its height for each period, at most.
    """
    half, periods = 0.5 * float(np.ptp(codes)), max(0.5 * (turns - 1), 0.5)
    lasts, count = float(seconds[-1] - seconds[0]), len(codes)
    if periods < FITTED_PERIODS or count < FITTED_FRAMES:
        return float(codes.mean()), half / (math.pi * periods)
    tried = np.arange(periods, 0.5 * (count - 1) + 0.05, 0.1)
    turned = 2.0 * math.pi * np.outer(tried, seconds - seconds[0]) / lasts
    waves = np.stack([np.ones_like(turned), np.cos(turned), np.sin(turned)], axis=2)
    across = np.swapaxes(waves, 1, 2)
    weights = np.linalg.pinv(across @ waves, rcond=1e-9, hermitian=True)
    parts = (weights @ (across @ codes)[..., None])[..., 0]
    left = np.sum((codes - np.einsum("fnk,fk->fn", waves, parts)) ** 2, axis=1)
    best = int(np.argmin(left))
    spread = math.sqrt(max(float(left[best] * weights[best, 0, 0]), 0.0) / (count - FREE))
    return float(parts[best, 0]), FITTED_LEFT * half + SURE_HALF_WIDTHS * spread
