"""Steps of a bracket: which are clipped, which were mis-set, and of which a curve is made."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.characterise.flicker import StepCause
from overlays.measure.characterise.misset import FEWEST_STEPS, Laid, off_neighbours, suspects
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.levels import Carriage, FloatArray, carriage_line, luma_scale
from overlays.signal.signal import Signal

CLIP_NEAR = 3.0
"""Half widths of a step and of the clip within which a step is clipped itself."""


@dataclass(frozen=True, slots=True)
class Step:
    """The grey card at one setting of the camera.

    Attributes
    ----------
    stops:
        As it was set, from mid-grey.
    reading:
        Luma, in codes of the signal.
    value:
        The same on the scale of the curve: code / 1023 of 10 bits.
    is_clipped:
        Whether it lies on the clip.
    off_stops:
        How far it was mis-set, by its neighbours; None where that cannot be told.
    is_outlier:
        Whether that is more than a step may be off, and nothing else explains it.
    is_doubtful:
        Whether it is one of several of which one was mis-set, and none can say which.
    is_sunk:
        Whether half of it and more lies on the lowest code, which holds all that lies below it too.
    is_used:
        Whether the curve is made of it too.
    cause:
        Why it is an outlier or doubtful; None where it is neither.
    """

    stops: float
    reading: CodeReading
    value: float
    is_clipped: bool = False
    off_stops: float | None = None
    is_outlier: bool = False
    is_doubtful: bool = False
    is_sunk: bool = False
    is_used: bool = True
    cause: StepCause | None = None


def value_of(code: float, signal: Signal) -> float:
    """The curve's signal of a code where it lies on the whole code scale.

    Parameters
    ----------
    code:
        Luma, not rounded.
    signal:
        Gives depth and range.

    Returns
    -------
    float
        Nominally 0 to 1; code / 1023 of 10 bits on limited range and on full.

    Examples
    --------
    >>> round(value_of(420.0, Signal(bits=10)) * 1023, 3)
    420.0
    """
    scale = luma_scale(signal)
    offset, slope = carriage_line(Carriage.FULL, signal.range)
    return offset + slope * (code - scale.zero) / scale.span


def judged_steps(
    bracket: Sequence[tuple[float, CodeReading]], clip: CodeReading, signal: Signal
) -> tuple[Step, ...]:
    """Steps in their order, those that are clipped and those that are mis-set named.

    Parameters
    ----------
    bracket:
        (stops as set, reading in codes) of each step.
    clip:
        What the camera cannot hold, in codes.
    signal:
        Of the feed.

    Returns
    -------
    tuple[Step, ...]
        The darkest first.

    Examples
    --------
    >>> codes = {-2: 274, -1: 344, 0: 420, 1: 496, 2: 573, 3: 650, 4: 728, 5: 805}  # of S-Log3
    >>> bracket = [(stops, CodeReading(code, 0.2)) for stops, code in codes.items()]
    >>> steps = judged_steps(bracket, CodeReading(728.0, 1.0), Signal(bits=10))
    >>> [step.stops for step in steps if step.is_clipped]
    [4, 5]
    """
    steps = [
        _step(stops, reading, clip, signal)
        for stops, reading in sorted(bracket, key=lambda each: each[0])
    ]
    good = [n for n, step in enumerate(steps) if step.is_used]
    if len(good) < FEWEST_STEPS:
        return tuple(steps)
    lie = laid([steps[n] for n in good], signal)
    found = suspects(lie)
    _tell(steps, good, off_neighbours(lie))
    left = [n for place, n in enumerate(good) if place not in found.every]
    if len(left) >= FEWEST_STEPS:  # told once more without those that are not believed
        _tell(steps, left, off_neighbours(laid([steps[n] for n in left], signal)))
    is_left_out = len(left) >= FEWEST_STEPS and not found.is_scatter
    for place, n in enumerate(good):
        is_outlier, is_doubtful = place in found.named, place in found.doubtful
        steps[n] = replace(
            steps[n],
            is_outlier=is_outlier,
            is_doubtful=is_doubtful,
            is_used=not (is_outlier or (is_doubtful and is_left_out)),
        )
    return tuple(steps)


def _step(stops: float, reading: CodeReading, clip: CodeReading, signal: Signal) -> Step:
    is_clipped, sunk = _on(reading, clip), is_sunk(reading, signal)
    value, is_used = value_of(reading.code, signal), not (is_clipped or sunk)
    return Step(stops, reading, value, is_clipped, is_sunk=sunk, is_used=is_used)


def is_sunk(reading: CodeReading, signal: Signal) -> bool:
    """Whether half of a reading and more lies on the lowest code, which holds all below it too.

    Parameters
    ----------
    reading, signal:
        With its tally, and of which signal.

    Returns
    -------
    bool
        No, of one that was not counted.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import Tally
    >>> dark = CodeReading(4.2, 0.1, tally=Tally(first=4, counts=(80, 20), independent=100.0))
    >>> is_sunk(dark, Signal(bits=10)), is_sunk(CodeReading(64.0, 0.1), Signal(bits=10))
    (True, False)
    """
    tally, lowest = reading.tally, picture_codes(signal)[0]
    if tally is None:
        return False
    return 2 * sum(tally.counts[: max(lowest + 1 - tally.first, 0)]) >= sum(tally.counts)


def laid(steps: Sequence[Step], signal: Signal) -> Laid:
    """What of steps is held against their neighbours.

    Parameters
    ----------
    steps:
        In the order of their stops.
    signal:
        Of the feed.

    Returns
    -------
    Laid
        Stops, values and half widths, (n,) each.

    Examples
    --------
    >>> step = Step(0.0, CodeReading(420.0, 1.0), value_of(420.0, Signal(bits=10)))
    >>> lie = laid([step], Signal(bits=10))
    >>> (1023 * lie.values).round(3).tolist(), (1023 * lie.widths).round(3).tolist()
    ([420.0], [1.0])
    """
    return Laid(
        np.array([step.stops for step in steps]),
        np.array([step.value for step in steps]),
        np.array([value_of(s.reading.code_pm, signal) - value_of(0.0, signal) for s in steps]),
    )


def _tell(steps: list[Step], numbers: Sequence[int], off: FloatArray) -> None:
    for n, found in zip(numbers, off, strict=True):
        steps[n] = replace(steps[n], off_stops=float(found) if np.isfinite(found) else None)


def _on(reading: CodeReading, clip: CodeReading) -> bool:
    return reading.code >= clip.code - CLIP_NEAR * (reading.code_pm + clip.code_pm) / 2.0 - 1.0
