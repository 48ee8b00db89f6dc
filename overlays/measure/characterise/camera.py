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

AROUND = 5
"""Steps whose noise is judged together."""
QUARTERS = (25.0, 50.0, 75.0)
"""Percent of them."""

MOST_APART_STOPS = 1.0
"""How far apart the noise of neighbouring steps may put the floor for one to be said."""

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
    sure:
        (stops, half width) of its steps: how sure it is at each of them. Where a code is worth more
        light, as in the dark, it is less sure than in the middle.
    nearest:
        Published curves, the nearest first.
    clip_stops, clip_stops_pm:
        Where it gives out.
    floor_stops:
        Where signal to noise is `FLOOR_RATIO`; None where it lies more than a stop below the
        darkest step, where noise is cut off, or where that of the steps tells none.
    floor_pm_stops:
        How far that may be off: by how the noise of neighbouring steps differs, and by the curve.
    floor_is_seen:
        Whether steps lie on both sides of it; else it is told by the noise of the cap.
    """

    signal: Signal
    steps: tuple[Step, ...]
    black: float
    black_noise: float
    fit: FittedCurve
    curve_pm_stops: float
    sure: tuple[tuple[float, float], ...]
    nearest: tuple[Near, ...]
    clip_stops: float
    clip_stops_pm: float
    floor_stops: float | None
    floor_pm_stops: float | None
    floor_is_seen: bool

    def pm_at(self, stops: float) -> float:
        """How sure its stops are at a level, mid-grey itself left out.

        Parameters
        ----------
        stops:
            From mid-grey.

        Returns
        -------
        float
            95 % half width in stops: that of the steps around it, beyond them of the last one.
        """
        return _pm_at(stops, self.sure)

    @property
    def least_sure(self) -> tuple[float, float]:
        """The level at which its stops are least sure, and how sure they are there."""
        return max(self.sure, key=lambda each: each[1])

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
    floor, apart, is_seen = _floor(cap, good, fit, signal)
    if apart > MOST_APART_STOPS:
        floor, is_seen = None, False
    sure = tuple(
        (step.stops, float(each) + fit.largest_off_stops)
        for step, each in zip(good, _stops_of(half, good, fit), strict=True)
    )
    return CameraFound(
        signal,
        steps,
        cap.code,
        cap.noise,
        fit,
        pm,
        sure,
        _nearest(good, signal),
        clip_at,
        clip_pm,
        floor,
        None if floor is None else apart + _pm_at(floor, sure),
        is_seen,
    )


def _pm_at(stops: float, sure: Sequence[tuple[float, float]]) -> float:
    """How sure a level is: as the steps around it, and beyond them as the last one."""
    at, half = np.array(sorted(sure)).T
    return float(np.interp(stops, at, half))


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
) -> tuple[float | None, float, bool]:
    """Where light is as large as its noise, how far off that is by it, and whether it is seen."""
    noise = np.array([_width(step.reading.noise, signal) for step in steps])
    # Little noise is rounded to more or to less of itself, as the level lies between two codes.
    least, usual, most = _noise_around(noise)
    stops = np.array([step.stops for step in steps])
    light = MID_GREY * 2.0**stops
    above = np.asarray(fit.curve.encode(light * 1.02)) - np.asarray(fit.curve.encode(light * 0.98))
    at = _crossing(stops, above / 0.04, usual)
    if at is not None:
        ends = [_crossing(stops, above / 0.04, each) for each in (least, most)]
        apart = max(abs(at - (stops[0] if end is None else end)) for end in ends)
        return at, float(apart), True
    # Near black the curve is straight in light: its noise there is that of the cap, if none of that
    # is cut off at the lowest code.
    dim = 0.5 * float(light[0])
    slope = float(fit.curve.encode(dim) - fit.curve.encode(0.0)) / dim
    near = np.concatenate([[_width(cap.noise, signal)], noise[:AROUND]])
    low, dark, high = np.maximum(np.percentile(near, QUARTERS), 1e-9)
    is_whole = cap.code - picture_codes(signal)[0] > CUT_NEAR * max(cap.noise, 0.3)
    if not is_whole:
        return None, 0.0, False
    found = float(np.log2(FLOOR_RATIO * dark / max(slope, 1e-9) / MID_GREY))
    apart = float(max(np.log2(high / dark), np.log2(dark / low)))
    return (found, apart, False) if found > stops[0] - MOST_BELOW_STOPS else (None, 0.0, False)


def _noise_around(noise: FloatArray) -> FloatArray:
    """(3, steps): quarters of the noise of each step and its neighbours."""
    wide = np.pad(noise, AROUND // 2, mode="edge")
    near = np.lib.stride_tricks.sliding_window_view(wide, AROUND)
    found: FloatArray = np.maximum(np.percentile(near, QUARTERS, axis=1), 1e-9)
    return found


def _crossing(stops: FloatArray, above: FloatArray, noise: FloatArray) -> float | None:
    """Where signal to noise passes `FLOOR_RATIO`; None where it never lies below."""
    ratio, wanted = np.log2(np.maximum(above, 1e-12) / noise), float(np.log2(FLOOR_RATIO))
    below = np.flatnonzero(ratio < wanted)
    if not below.size or below[-1] + 1 == len(stops):
        return None
    low, high = below[-1], below[-1] + 1
    part = (wanted - ratio[low]) / max(ratio[high] - ratio[low], 1e-9)
    return float(stops[low] + part * (stops[high] - stops[low]))


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
