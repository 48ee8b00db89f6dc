"""Steps of a bracket: which are clipped, and which lie where no curve that is smooth puts them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.levels import Carriage, FloatArray, carriage_line, luma_scale
from overlays.signal.signal import Signal

FEWEST_STEPS = 5
"""From which on a step can be held against its neighbours."""

OUTLIER_STOPS = 0.12
"""How far a step may lie beside what its four neighbours say: a third of a third of a stop, as
shutters and apertures are off (common practice, no source)."""

END_OUTLIER_STOPS = 0.25
"""The same of the steps at both ends, which have neighbours on one side only."""

SURE = 3.0
"""Half widths of a step besides, twice for it and once for its neighbours."""

OPEN = 2.0
"""Times what its farthest neighbour changes that a step may be off besides: coarse steps leave
a curve open. Without it brackets in whole stops of 17 of 26 published curves had a step that was
called mis-set, with once it 4, with twice none (`test_steps.py`)."""

SAME_VALUE = 1e-4
"""A tenth of a code of 10 bits: neighbours that lie as near tell nothing of what lies between."""

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
        Whether that is more than a step may be off.
    """

    stops: float
    reading: CodeReading
    value: float
    is_clipped: bool = False
    off_stops: float | None = None
    is_outlier: bool = False


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
    """
    steps = [
        Step(stops, reading, value_of(reading.code, signal), _on(reading, clip))
        for stops, reading in sorted(bracket, key=lambda each: each[0])
    ]
    good = [n for n, step in enumerate(steps) if not step.is_clipped]
    for _ in range(max(len(good) // 4, 1)):
        if len(good) < FEWEST_STEPS:
            break
        off = _off([steps[n] for n in good], signal)[0]
        for place, number in enumerate(good):
            found = float(off[place])
            steps[number] = replace(steps[number], off_stops=found if np.isfinite(found) else None)
        worst = _worst([steps[n] for n in good], signal)
        if worst is None:
            break
        steps[good[worst]] = replace(steps[good[worst]], is_outlier=True)
        del good[worst]
    return tuple(steps)


def _on(reading: CodeReading, clip: CodeReading) -> bool:
    return reading.code >= clip.code - CLIP_NEAR * (reading.code_pm + clip.code_pm) / 2.0 - 1.0


def _beyond(steps: Sequence[Step], signal: Signal) -> FloatArray:
    """How far each lies beside its neighbours, in shares of what it may."""
    off, allowed = _off(steps, signal)
    return np.asarray(np.where(np.isfinite(off), np.abs(off) / allowed, 0.0))


def _worst(steps: Sequence[Step], signal: Signal) -> int | None:
    """The step without which the others fit best; None where all fit."""
    doubtful = np.flatnonzero(_beyond(steps, signal) > 1.0)
    if not doubtful.size:
        return None

    def left(place: int) -> float:
        rest = [step for number, step in enumerate(steps) if number != place]
        return float(np.sum(_beyond(rest, signal) ** 2))

    return int(min(doubtful, key=lambda place: left(int(place))))


def _off(steps: Sequence[Step], signal: Signal) -> tuple[FloatArray, FloatArray]:
    """Stops as set less those that the neighbours' curve gives its value, and how much may be."""
    stops = np.array([step.stops for step in steps])
    values = np.array([step.value for step in steps])
    widths = np.array([value_of(s.reading.code_pm, signal) - value_of(0.0, signal) for s in steps])
    slope = np.maximum(np.abs(np.gradient(values)) / np.maximum(np.gradient(stops), 1e-6), 1e-9)
    allowed = OUTLIER_STOPS + SURE * widths / slope
    allowed[[0, -1]] += END_OUTLIER_STOPS - OUTLIER_STOPS
    out = np.zeros(len(stops))
    for place in range(len(stops)):
        count = 4 if place in {0, len(stops) - 1} else 5
        near = sorted(range(len(stops)), key=lambda n: (abs(n - place), n))[1:count]
        x, y = values[near], stops[near]
        if np.diff(np.sort(x)).min() < SAME_VALUE:
            out[place] = np.nan  # too near to tell by
        else:
            said = _through(x, y, values[place])
            out[place] = stops[place] - said
            # What leaving the farthest of them out changes is what coarse steps leave open.
            allowed[place] += OPEN * abs(said - _through(x[:-1], y[:-1], values[place]))
    return out, allowed


def _through(x: FloatArray, y: FloatArray, at: float) -> float:
    """The polynomial through points, at a place (Lagrange)."""
    total = 0.0
    for n, height in enumerate(y):
        others = np.delete(x, n)
        total += float(height * np.prod((at - others) / (x[n] - others)))
    return total
