"""Steps of a bracket with what noise before the curve did to them taken back, and their curve."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from overlays.measure.characterise.below_black import below_by_spread, shown_below, with_black
from overlays.measure.characterise.bent import LEAST_SURE, Bent, bent_by_noise
from overlays.measure.characterise.bracket_steps import Step, is_sunk, value_of
from overlays.measure.characterise.dark_told import DarkTold, dark_told
from overlays.measure.characterise.fit import FittedCurve, fitted
from overlays.measure.characterise.noise_through import Under
from overlays.measure.characterise.rounded import code_step
from overlays.measure.characterise.smooth import Smooth, with_scatter
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Signal

TURNS = 4
WORTH = 0.1
"""Of its half width by which noise must move a step for that to be taken back."""


class Unbent(NamedTuple):
    """Steps as they lie without noise, and what is made of them.

    Attributes
    ----------
    steps, lies, fit, scatter_stops:
        The darkest first; the smoothest values that they allow; a curve through these; and how far
        steps are set off.
    bent:
        What noise did to them.
    """

    steps: list[Step]
    lies: Smooth
    fit: FittedCurve
    scatter_stops: float
    bent: Bent


def unbent(cap: CodeReading, steps: Sequence[Step], signal: Signal) -> Unbent:
    """Steps with what noise before the curve did to their means taken back, and their curve.

    Each turn knows the curve better. The last of what comes back is what noise did. Where all
    samples of the dark steps tell more (`dark_told`), that is taken.

    Parameters
    ----------
    cap, steps, signal:
        Of no light; what a curve can be made of, the darkest first; and of which signal.

    Returns
    -------
    Unbent
        As many steps.

    Raises
    ------
    TooFewStepsError
        The steps do not rise.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> values = published_curve("S-Log3").stops_to_value(stops := np.arange(-6.0, 5.0))
    >>> read = [CodeReading(1023.0 * value, 0.1) for value in values]
    >>> steps = [Step(*each) for each in zip(stops, read, values, strict=True)]
    >>> found = unbent(CodeReading(95.0, 0.1), steps, Signal(bits=10))
    >>> found.steps == steps  # without noise nothing is moved
    True
    """
    code = _code(steps)
    shown = shown_below(cap, code, signal)
    lies, half, scatter = _smooth(cap, steps, signal)
    fit, good = fitted(steps, half, lies, scatter), list(steps)
    stops, read = np.array([s.stops for s in steps]), [s.reading for s in steps]
    pm = np.array([each.code_pm for each in read])
    under = shown or below_by_spread(cap, stops, read, fit.curve, code, signal)
    bent = bent_by_noise(stops, read, fit.curve, code, signal, under)
    for _ in range(TURNS):
        if not (np.abs(bent.codes) + bent.pm > WORTH * pm).any():
            return Unbent(good, lies, fit, scatter, bent)
        moved = zip(steps, bent.codes, np.hypot(pm, bent.pm), strict=True)
        good = [_moved(step, by, wide, signal) for step, by, wide in moved]
        lies, half, scatter = _smooth(with_black(cap, under, bent.share, code), good, signal)
        fit = fitted(good, half, lies, scatter)
        bent = bent_by_noise(stops, read, fit.curve, code, signal, under)
    told = None if under is Under.CUT else _told(cap, good, read, bent, signal)
    before = Unbent(good, lies, fit, scatter, bent)
    return before if told is None else _by_samples(cap, steps, before, told, signal)


def _told(
    cap: CodeReading, good: Sequence[Step], read: Sequence[CodeReading], bent: Bent, signal: Signal
) -> DarkTold | None:
    """What samples of the dark steps tell, if their noise came before the curve."""
    if bent.share < 1.0 - LEAST_SURE or is_sunk(cap, signal):
        return None
    stops, levels = np.array([(s.stops, s.reading.code) for s in good]).T
    lowest, step = picture_codes(signal)[0], int(_code(good))
    bracket = list(zip(stops, read, strict=True))
    return dark_told(cap, bracket, bent.sizes, levels, step, lowest)


def _by_samples(
    cap: CodeReading, steps: Sequence[Step], before: Unbent, told: DarkTold, signal: Signal
) -> Unbent:
    """The same with the dark steps as their samples tell them."""
    dark, bent = len(told.codes), before.bent
    codes = np.array([step.reading.code for step in steps])
    by = np.append(codes[:dark] - told.codes, bent.codes[dark:])
    pm = np.array([step.reading.code_pm for step in steps])
    half = np.append(told.pm, np.hypot(pm, bent.pm)[dark:])
    good = [_moved(*each, signal) for each in zip(steps, by, half, strict=True)]
    black = replace(cap, code=told.black, code_pm=told.black_pm)
    lies, wide, scatter = _smooth(black, good, signal)
    fit = fitted(good, wide, lies, scatter)
    # They are held together already, and what they leave open moves neighbours alike.
    slope = np.gradient(lies.values, np.array([step.stops for step in steps]))
    told_pm = width_of(1.0, signal) * half[:dark] / np.maximum(slope[:dark], 1e-9)
    lies = replace(lies, pm_stops=np.append(told_pm, lies.pm_stops[dark:]))
    open_pm = np.append(np.zeros(dark), bent.pm[dark:])
    return Unbent(good, lies, fit, scatter, replace(bent, codes=by, pm=open_pm))


def _moved(step: Step, codes: float, half: float, signal: Signal) -> Step:
    """A step with so many codes taken back, and its half width after that."""
    code = step.reading.code - codes
    reading = replace(step.reading, code=code, code_pm=half)
    return replace(step, reading=reading, value=value_of(code, signal))


def _smooth(
    cap: CodeReading, steps: Sequence[Step], signal: Signal
) -> tuple[Smooth, FloatArray, float]:
    """The smoothest values of steps, half widths of what was read, and how far they scatter."""
    half = np.array([max(width_of(s.reading.code_pm, signal), 1e-6) for s in steps])
    stops, values = (np.array([getattr(s, key) for s in steps]) for key in ("stops", "value"))
    # Of a cap that lies on the lowest code it is only known that black is no higher.
    sunk = is_sunk(cap, signal)
    black = value_of(cap.code, signal), 1.0 if sunk else width_of(cap.code_pm, signal)
    return with_scatter(stops, values, half, black, width_of(_code(steps), signal))


def _code(steps: Sequence[Step]) -> float:
    """Codes from one in use to the next."""
    tallies = [s.reading.tally for s in steps if s.reading.tally is not None]
    return float(code_step(tallies)) if tallies else 1.0


def width_of(codes: float, signal: Signal) -> float:
    """A width in codes on the scale of the curve.

    Parameters
    ----------
    codes, signal:
        Of which signal.

    Returns
    -------
    float
        In `v`, nominally 0 to 1.

    Examples
    --------
    >>> round(1023.0 * width_of(2.0, Signal(bits=10)), 3)
    2.0
    """
    return value_of(codes, signal) - value_of(0.0, signal)
