"""Where light is as large as its noise."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.measure.characterise.bracket_steps import Step, value_of
from overlays.measure.characterise.smooth import Smooth
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.curves import MID_GREY, Curve
from overlays.signal.levels import FloatArray
from overlays.signal.signal import Signal

FLOOR_RATIO = 1.0
"""Signal to noise of one pixel at the floor, as ISO 15739 and EMVA 1288 take it (from memory),
noise with what rounding to codes adds, as EMVA 1288 has it. It departs from both: noise is that of
neighbouring pixels of one frame, in luma behind the camera's own denoising, where they ask for many
frames of raw values."""

CUT_NEAR = 4.0
"""Deviations of its noise above the lowest code from which on a cap shows all of it."""

AROUND = 5
"""Steps whose noise is judged together."""
QUARTERS = (25.0, 50.0, 75.0)
"""Percent of them."""

MOST_OFF_STOPS = 1.0
"""How far a floor may be off by what is known of noise and curve, for one to be said."""

MOST_BELOW_STOPS = 1.0
"""How far below the darkest step the floor is still told by the noise of the cap."""


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor.

    Attributes
    ----------
    stops, pm_stops:
        Where signal to noise is `FLOOR_RATIO`, and its half width; None where nothing tells it.
    is_seen:
        Whether steps lie on both sides of it; else it is told by the noise of the cap.
    """

    stops: float | None = None
    pm_stops: float | None = None
    is_seen: bool = False


def floor_of(
    cap: CodeReading,
    steps: Sequence[Step],
    curve: Curve,
    lies: Smooth,
    stands: FloatArray,
    signal: Signal,
) -> Floor:
    """Where light is as large as its noise.

    Parameters
    ----------
    cap, steps:
        Of no light, and what the curve is made of, the darkest first.
    curve, lies:
        Through the steps, and how sure the values are that it goes through.
    stands:
        (steps,) on the scale of the curve, what stands against the noise of each (`bent`).
    signal:
        Of the feed.

    Returns
    -------
    Floor
        Without a place where it lies more than a stop below the darkest step, where noise is cut
        off at the lowest code, or where it would be less sure than a stop.

    Examples
    --------
    >>> from overlays.measure.characterise.smooth import smooth
    >>> from overlays.signal.published import published_curve
    >>> log, stops, half = published_curve("S-Log3"), np.arange(-9.0, 3.0), np.full(12, 0.0005)
    >>> values = log.stops_to_value(stops)
    >>> readings = [CodeReading(1023 * value, 0.1, noise=2.0) for value in values]
    >>> steps = [Step(*each) for each in zip(stops, readings, values, strict=True)]
    >>> lies = smooth(stops, values, half, (95 / 1023, 0.0005), code=1 / 1023)
    >>> slope = np.gradient(values, stops) / np.log(2.0)  # light by the slope of the curve
    >>> cap = CodeReading(95.0, 0.1, noise=2.0)
    >>> floor = floor_of(cap, steps, log, lies, slope, Signal(bits=10))
    >>> round(floor.stops), floor.is_seen
    (-9, False)
    """
    stops = np.array([step.stops for step in steps])
    least, usual, most = _noise_around([step.reading for step in steps], signal)
    light = MID_GREY * 2.0**stops
    at = _crossing(stops, stands, usual)
    is_seen = at is not None
    if at is not None:
        ends = [_crossing(stops, stands, each) for each in (least, most)]
        apart = max(abs(at - (stops[0] if end is None else end)) for end in ends)
    else:
        # Near black the curve is straight in light: its noise there is that of the cap, if none of
        # that is cut off at the lowest code.
        if cap.code - picture_codes(signal)[0] <= CUT_NEAR * max(cap.noise, 0.3):
            return Floor()
        near = [cap, *(step.reading for step in steps[:AROUND])]
        low, dark, high = _noise_around(near, signal)[:, 0]
        dim = 0.5 * float(light[0])
        slope = max(float(curve.encode(dim) - curve.encode(0.0)) / dim, 1e-9)
        at = float(np.log2(FLOOR_RATIO * dark / slope / MID_GREY))
        apart = float(max(np.log2(high / dark), np.log2(dark / low)))
        if at <= stops[0] - MOST_BELOW_STOPS:
            return Floor()
    pm = float(apart + np.interp(at, stops, lies.slope_pm_stops))
    return Floor(at, pm, is_seen) if pm <= MOST_OFF_STOPS else Floor()


def _noise_around(readings: Sequence[CodeReading], signal: Signal) -> FloatArray:
    """(3, readings): low end of the noise of each, the likeliest, and high end.

    Those whose codes tell no interval are judged by the quarters of their neighbours.
    """
    codes = np.array([reading.noise for reading in readings])
    wide = np.pad(codes, AROUND // 2, mode="edge")
    near = np.lib.stride_tricks.sliding_window_view(wide, AROUND)
    found: FloatArray = np.percentile(near, QUARTERS, axis=1)
    for n, reading in enumerate(readings):
        if reading.noise_ends is not None:
            found[:, n] = reading.noise_ends[0], reading.noise, reading.noise_ends[1]
    scale = value_of(1.0, signal) - value_of(0.0, signal)
    return np.asarray(np.maximum(scale * found, 1e-9))


def _crossing(stops: FloatArray, above: FloatArray, noise: FloatArray) -> float | None:
    """Where signal to noise passes `FLOOR_RATIO`; None where it never lies below."""
    ratio, wanted = np.log2(np.maximum(above, 1e-12) / noise), float(np.log2(FLOOR_RATIO))
    below = np.flatnonzero(ratio < wanted)
    if not below.size or below[-1] + 1 == len(stops):
        return None
    low, high = below[-1], below[-1] + 1
    part = (wanted - ratio[low]) / max(ratio[high] - ratio[low], 1e-9)
    return float(stops[low] + part * (stops[high] - stops[low]))
