"""Steps that are left out, with why: what frames say of the light, and where the others lie."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from overlays.measure.characterise.bracket_steps import Step, laid, value_of
from overlays.measure.characterise.flicker import (
    BracketFrames,
    Light,
    StepCause,
    StepsBeside,
    cause_of,
    light_of,
)
from overlays.signal.curves import Curve
from overlays.signal.signal import Signal


def light_over(frames: BracketFrames | None, curve: Curve, signal: Signal) -> Light:
    """What the frames of all steps say of the light.

    Parameters
    ----------
    frames:
        Of each step; None of single frames.
    curve, signal:
        Through the steps, and of the feed.

    Returns
    -------
    Light
        Of the bracket.

    Examples
    --------
    >>> from overlays.measure.characterise.followed import Swing
    >>> from overlays.signal.published import published_curve
    >>> frames = BracketFrames((Swing(410.0, 430.0, 9, 1.0, is_more_than_noise=True),) * 2)
    >>> light = light_over(frames, published_curve("S-Log3"), Signal(bits=10))
    >>> round(light.swing_stops, 2), light.seen_at  # half of 20 codes, at 76 to the stop
    (0.13, 2)
    """
    if frames is None:
        return Light()
    swings = frames.swings
    ends = np.array([(np.nan, np.nan) if s is None else (s.low, s.high) for s in swings])
    zero = value_of(0.0, signal)
    stops = np.asarray(curve.value_to_stops(zero + (value_of(1.0, signal) - zero) * ends))
    with np.errstate(invalid="ignore"):
        return light_of(swings, stops[:, 1] - stops[:, 0], frames.slowest_hertz)


def with_causes(steps: Sequence[Step], light: Light, signal: Signal) -> tuple[Step, ...]:
    """Outliers, and those in doubt, with why they are; these share one answer.

    Parameters
    ----------
    steps:
        At least two, in the order of their stops.
    light, signal:
        What frames say of it, and of the feed.

    Returns
    -------
    tuple[Step, ...]
        As many.

    Examples
    --------
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> codes = [value_of(code, Signal(10)) for code in (344.0, 420.0, 496.0)]
    >>> steps = [Step(n - 1.0, CodeReading(344.0 + 76.0 * n, 0.1), codes[n]) for n in range(3)]
    >>> [step.cause for step in with_causes(steps, Light(), Signal(bits=10))]  # none is an outlier
    [None, None, None]
    """
    lie = laid(steps, signal)
    slope = np.abs(np.gradient(lie.values)) / np.maximum(np.gradient(lie.stops), 1e-6)
    off = np.array([np.nan if s.off_stops is None else s.off_stops for s in steps])
    believed = np.array([s.is_used and not s.is_doubtful for s in steps])
    beside = StepsBeside(lie.stops, off, lie.widths / np.maximum(slope, 1e-9), believed)
    causes = {
        n: cause_of(n, beside, light) for n, s in enumerate(steps) if s.is_outlier or s.is_doubtful
    }
    doubtful = {causes[n] for n, s in enumerate(steps) if s.is_doubtful}
    shared = StepCause.MISSET if doubtful == {StepCause.MISSET} else StepCause.EITHER
    return tuple(
        replace(s, cause=shared if s.is_doubtful else causes.get(n)) for n, s in enumerate(steps)
    )
