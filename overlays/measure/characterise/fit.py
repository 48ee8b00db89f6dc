"""A curve through steps: log parameters of the Common LUT Format where they fit, else points."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overlays.errors import CurveParameterError
from overlays.measure.characterise.steps import Step
from overlays.signal.curves import Curve, LogParameters, custom_curve, stops_to_linear
from overlays.signal.levels import FloatArray
from overlays.signal.tabled import tabled_curve

FITS_STOPS = 0.012
"""How far the mean of neighbouring steps may lie beside the parameters, besides its half width."""

SMOOTHED = 5
"""Steps of such a mean."""

OFFSETS = np.geomspace(1e-4, 0.2, 400)
"""Of light inside the logarithm, tried one by one: those of the published curves are 0.0004 to 0.09
on their own scale (tests/reference/clf.csv)."""

LEAST_RISE = 1e-6
"""Of the value from a point of the table to the next."""

NAME = "measured"


@dataclass(frozen=True, slots=True)
class FittedCurve:
    """A curve, and how far the steps lie beside it.

    Attributes
    ----------
    curve:
        On the whole code scale.
    parameters:
        Of the logarithm; None where it does not fit, and the curve is a table.
    largest_off_stops:
        Of the steps that were used, the largest distance.
    """

    curve: Curve
    parameters: LogParameters | None
    largest_off_stops: float


def fitted(steps: Sequence[Step], black: float, half_widths: FloatArray) -> FittedCurve:
    """The simplest curve through steps.

    Parameters
    ----------
    steps:
        Neither clipped nor mis-set, the darkest first.
    black:
        Value of no light.
    half_widths:
        (steps,) of their values at 95 %.

    Returns
    -------
    FittedCurve
        Log parameters where steps lie beside them by their noise alone.

    Raises
    ------
    CurveParameterError
        The steps do not rise.
    """
    stops = np.array([step.stops for step in steps])
    values = np.array([step.value for step in steps])
    table = tabled_curve(NAME, *_rising(stops, values, black), black)
    widths = _in_stops(table, stops, half_widths)
    best: FittedCurve | None = None
    for parameters in _candidates(stops, values, black, half_widths):
        try:
            curve = custom_curve(NAME, parameters)
        except CurveParameterError:
            continue
        off = np.asarray(curve.value_to_stops(values)) - stops
        if not np.isfinite(off).all() or not _is_near(off, widths):
            continue
        largest = float(np.abs(off).max())
        if best is None or largest < best.largest_off_stops:
            best = FittedCurve(curve, parameters, largest)
    if best is not None:
        return best
    left = np.abs(np.asarray(table.value_to_stops(values)) - stops)
    return FittedCurve(table, None, float(left[np.isfinite(left)].max(initial=0.0)))


def _is_near(off: FloatArray, widths: FloatArray) -> bool:
    """Whether steps lie beside the parameters by noise alone: five together tell it from shape."""
    around = np.ones(SMOOTHED)
    count = np.convolve(np.ones(len(off)), around, "same")
    mean = np.abs(np.convolve(off, around, "same") / count)
    own = np.convolve(widths, around, "same") / count
    each = np.abs(off) <= 2.0 * FITS_STOPS + 2.0 * widths
    return bool(each.all() and (mean <= FITS_STOPS + own / np.sqrt(count)).all())


def _rising(
    stops: FloatArray, values: FloatArray, black: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Points that rise: what noise put in disorder in the dark is left out."""
    kept: list[int] = []
    last, at = black, -np.inf
    for place, value in enumerate(values):
        if value > last + LEAST_RISE and stops[place] > at:
            kept.append(place)
            last, at = float(value), float(stops[place])
    return tuple(map(float, stops[kept])), tuple(map(float, values[kept]))


def _in_stops(curve: Curve, stops: FloatArray, half_widths: FloatArray) -> FloatArray:
    """Half widths of values in stops, by the slope of the curve."""
    here = np.asarray(curve.stops_to_value(stops))
    slope = (np.asarray(curve.stops_to_value(stops + 0.1)) - here) / 0.1
    return half_widths / np.maximum(slope, 1e-9)


def _candidates(
    stops: FloatArray, values: FloatArray, black: float, half_widths: FloatArray
) -> list[LogParameters]:
    """For each offset the straight line of value by logarithm, and the break that meets black."""
    linear = np.asarray(stops_to_linear(stops))
    out = []
    for offset in OFFSETS:
        used = np.ones(len(stops), bool)
        for _ in range(2):
            if np.count_nonzero(used) < 3:
                break
            log = np.log2(linear[used] + offset)
            slope, height = np.polyfit(log, values[used], 1, w=1.0 / half_widths[used])
            if slope <= 0.0:
                break
            at = _break(float(slope), float(height), float(offset), black)
            out.append(LogParameters(2.0, float(slope), float(height), 1.0, float(offset), at))
            if at is None:
                break
            used = linear >= at
    return out


def _break(slope: float, height: float, offset: float, black: float) -> float | None:
    """Light below which the tangent of the logarithm meets black; None where none does."""

    def at_black(light: float) -> float:
        inside = light + offset
        tangent = slope / (inside * float(np.log(2.0)))
        return slope * float(np.log2(inside)) + height - tangent * light

    low, high = 1e-6, 0.1
    if not at_black(low) < black < at_black(high):
        return None
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if at_black(middle) < black else (low, middle)
    return 0.5 * (low + high)
