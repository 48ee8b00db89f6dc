"""What a cap, a bracket and a clip say of a camera."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.errors import TooFewStepsError
from overlays.measure.characterise.fit import FittedCurve, fitted
from overlays.measure.characterise.misset import FEWEST_STEPS
from overlays.measure.characterise.steps import Step, judged_steps, value_of
from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.delivery import Delivery
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.curves import MID_GREY
from overlays.signal.levels import Carriage, FloatArray
from overlays.signal.published import published_curves
from overlays.signal.signal import Range, Signal

FLOOR_RATIO = 1.0
"""Signal to noise of one pixel at the floor, as ISO 15739 and EMVA 1288 take it (from memory). It
departs from both: noise is that of neighbouring pixels of one frame, in luma behind the camera's
own denoising, where they ask for many frames of raw values."""

MOST_SHIFT_STOPS = 0.35
"""Exposure by which a published curve may be moved against the steps to be held against them."""

NEAREST = 3

CUT_NEAR = 4.0
"""Deviations of its noise above the lowest code from which on a cap shows all of it."""

MOST_BELOW_STOPS = 1.0
"""How far below the darkest step the floor is still told by the noise of the cap."""


@dataclass(frozen=True, slots=True)
class Near:
    """A published curve against the steps: how far they lie from it once exposure is taken out."""

    curve: str
    carriage: Carriage
    shift_stops: float
    rms_stops: float


@dataclass(frozen=True, slots=True)
class CameraFound:
    """A camera.

    Attributes
    ----------
    signal:
        Of the feed, as it is read.
    steps:
        Of the bracket, the darkest first.
    black, black_noise:
        Code of the cap, and the deviation of a pixel there.
    fit:
        Its curve.
    curve_pm_stops:
        How sure its stops are: how far the steps lie beside it, and their half widths in the middle
        of the bracket. Mid-grey itself is as sure as the card was metered, which moves all alike.
    nearest:
        Published curves, the nearest first.
    clip_stops, clip_stops_pm:
        Where it gives out.
    floor_stops:
        Where signal to noise is `FLOOR_RATIO`; None where it lies more than a stop below the
        darkest step, or noise is cut off there.
    floor_is_seen:
        Whether steps lie on both sides of it; else it is told by the noise of the cap.
    """

    signal: Signal
    steps: tuple[Step, ...]
    black: float
    black_noise: float
    fit: FittedCurve
    curve_pm_stops: float
    nearest: tuple[Near, ...]
    clip_stops: float
    clip_stops_pm: float
    floor_stops: float | None
    floor_is_seen: bool

    @property
    def usable_stops(self) -> float:
        """From floor to clip; where the floor is not known, at least so much."""
        darkest = min(step.stops for step in self.steps)
        return self.clip_stops - (darkest if self.floor_stops is None else self.floor_stops)

    @property
    def outliers(self) -> tuple[Step, ...]:
        """Steps that were mis-set, or whose light was another."""
        return tuple(step for step in self.steps if step.is_outlier)

    @property
    def doubtful(self) -> tuple[Step, ...]:
        """Steps of which at least one was mis-set, and none can say which."""
        return tuple(step for step in self.steps if step.is_doubtful)


def characterised(
    cap: CodeReading,
    bracket: Sequence[tuple[float, CodeReading]],
    clip: CodeReading,
    signal: Signal,
) -> CameraFound:
    """A camera by its cap, its bracket and its clip.

    Parameters
    ----------
    cap, clip:
        In codes of the signal.
    bracket:
        (stops as set, reading in codes) of a grey card; 0 is mid-grey by a light meter.
    signal:
        Of the feed, as it is read.

    Returns
    -------
    CameraFound
        Its curve on the whole code scale.

    Raises
    ------
    TooFewStepsError
        Fewer than five steps are left that are neither clipped nor mis-set.
    CurveParameterError
        What is left does not rise.
    """
    steps = judged_steps(bracket, clip, signal)
    good = [s for s in steps if s.is_used and s.reading.code > cap.code]
    if len(good) < FEWEST_STEPS:
        raise TooFewStepsError(
            f"{len(good)} of {len(steps)} steps can be used, the others are clipped, mis-set or "
            f"black; at least {FEWEST_STEPS} are needed"
        )
    half = np.array([_width(s.reading.code_pm, signal) for s in good])
    fit = fitted(good, value_of(cap.code, signal), np.maximum(half, 1e-6))
    pm = fit.largest_off_stops + float(np.median(_stops_of(half, good, fit)))
    clip_at, clip_pm = _clip(clip, steps, fit, signal)
    floor, is_seen = _floor(cap, good, fit, signal)
    nearest = _nearest(good, signal)
    return CameraFound(
        signal, steps, cap.code, cap.noise, fit, pm, nearest, clip_at, clip_pm, floor, is_seen
    )


def _width(codes: float, signal: Signal) -> float:
    """A width in codes on the scale of the curve."""
    return value_of(codes, signal) - value_of(0.0, signal)


def _stops_of(widths: FloatArray, steps: Sequence[Step], fit: FittedCurve) -> FloatArray:
    stops = np.array([step.stops for step in steps])
    slope = np.asarray(fit.curve.stops_to_value(stops + 0.05)) - np.asarray(
        fit.curve.stops_to_value(stops - 0.05)
    )
    return widths / np.maximum(slope / 0.1, 1e-9)


def _clip(
    clip: CodeReading, steps: Sequence[Step], fit: FittedCurve, signal: Signal
) -> tuple[float, float]:
    """Where the curve reaches the clip; as sure as the curve is far from the last step below it."""
    code = value_of(clip.code, signal)
    at = float(fit.curve.value_to_stops(code))
    used = [step.stops for step in steps if step.is_used]
    beyond = max(at - max(used), 0.0)
    width = _width(clip.code_pm, signal)
    near = abs(float(fit.curve.value_to_stops(code + width)) - at)
    return at, near + 0.1 * beyond + fit.largest_off_stops


def _floor(
    cap: CodeReading, steps: Sequence[Step], fit: FittedCurve, signal: Signal
) -> tuple[float | None, bool]:
    """Stops at which light is as large as its noise, and whether steps lie on both sides."""
    noise = np.array([_width(step.reading.noise, signal) for step in steps])
    stops = np.array([step.stops for step in steps])
    light = MID_GREY * 2.0**stops
    above = np.asarray(fit.curve.encode(light * 1.02)) - np.asarray(fit.curve.encode(light * 0.98))
    ratio = np.log2(above / 0.04 / np.maximum(noise, 1e-9))
    wanted = float(np.log2(FLOOR_RATIO))
    below = np.flatnonzero(ratio < wanted)
    if below.size and below[-1] + 1 < len(stops):
        low, high = below[-1], below[-1] + 1
        part = (wanted - ratio[low]) / max(ratio[high] - ratio[low], 1e-9)
        return float(stops[low] + part * (stops[high] - stops[low])), True
    # Near black the curve is straight in light: its noise there is that of the cap, if none of that
    # is cut off at the lowest code.
    dim = 0.5 * float(light[0])
    slope = float(fit.curve.encode(dim) - fit.curve.encode(0.0)) / dim
    dark = _width(cap.noise, signal) / max(slope, 1e-9)
    is_whole = cap.code - picture_codes(signal)[0] > CUT_NEAR * max(cap.noise, 0.3)
    at = float(np.log2(FLOOR_RATIO * dark / MID_GREY)) if dark > 0.0 and is_whole else -np.inf
    return (at, False) if at > stops[0] - MOST_BELOW_STOPS else (None, False)


def _nearest(steps: Sequence[Step], signal: Signal) -> tuple[Near, ...]:
    stops = np.array([step.stops for step in steps])
    codes = [step.reading.code for step in steps]
    out = []
    for curve in published_curves():
        for carriage in Carriage:
            if signal.range is Range.FULL and carriage is not curve.carriage:
                continue  # on full range the two are the same
            read = Delivery(curve, carriage, signal.range)
            off = np.array([read.stops(code, signal.bits) for code in codes]) - stops
            off = off[np.isfinite(off)]
            if off.size < FEWEST_STEPS:
                continue
            shift = float(np.median(off))
            if abs(shift) <= MOST_SHIFT_STOPS:
                rms = float(np.sqrt(np.mean((off - shift) ** 2)))
                out.append(Near(curve.name, carriage, shift, rms))
    return tuple(sorted(out, key=lambda near: near.rms_stops)[:NEAREST])
