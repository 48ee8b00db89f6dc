"""How sure a curve is over steps that a link's lowest code does not touch.

Where a link cuts black off, a curve's black is open over all of the scale, and with it how far each
level lies above black. Steps whose samples stay clear of the lowest code were read nevertheless,
and a curve of them alone says how sure they are.
"""

from collections.abc import Sequence

import numpy as np

from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.misset import FEWEST_STEPS
from overlays.measure.characterise.unbent import unbent
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.curves import Curve
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Signal

CLEAR = 4.0
"""Deviations of noise from a step to the lowest code: one sample in 30 000 reaches it."""


def clear_pm(cap: CodeReading, steps: Sequence[Step], curve: Curve, signal: Signal) -> FloatArray:
    """How far a curve may be off at steps that are clear of the lowest code.

    Parameters
    ----------
    cap, steps:
        Of no light, on the lowest code; and what the curve is made of, the darkest first.
    curve:
        Of all steps.
    signal:
        Of which feed.

    Returns
    -------
    ndarray
        (steps,) half widths at 95 %, in stops: those of a curve of the clear steps alone, and how
        far the two lie apart. Infinite at other steps, and where too few are clear.

    Raises
    ------
    TooFewStepsError
        The clear steps do not rise.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> video = published_curve("sRGB")
    >>> stops = np.arange(-5.0, 2.0, 0.5)
    >>> codes = 1023.0 * video.stops_to_value(stops)
    >>> read = [CodeReading(code, 0.1, 3.0) for code in codes]
    >>> steps = [Step(s, r, r.code / 1023.0) for s, r in zip(stops, read, strict=True)]
    >>> pm = clear_pm(CodeReading(4.0, 1.0, 3.0), steps, video, Signal(bits=10))
    >>> bool((pm < 0.02).all())
    True
    """
    lowest = picture_codes(signal)[0]
    clear = np.array([s.reading.code - lowest > CLEAR * s.reading.noise for s in steps], bool)
    out = np.full(len(steps), np.inf)
    if np.count_nonzero(clear) < FEWEST_STEPS:
        return out
    alone = unbent(cap, [s for s, is_clear in zip(steps, clear, strict=True) if is_clear], signal)
    stops = np.array([step.stops for step in alone.steps])
    apart = np.abs(np.asarray(curve.value_to_stops(alone.lies.values)) - stops)
    out[clear] = alone.lies.value_pm_stops + apart
    return out
