"""A curve through steps: log parameters of the Common LUT Format where they fit, else points."""

import contextlib
import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from overlays.errors import CurveParameterError, TooFewStepsError
from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.smooth import Smooth
from overlays.signal.curve_check import check_formula
from overlays.signal.curves import Curve, linear_to_stops, stops_to_linear
from overlays.signal.formulas import LogWithToe, PureLog
from overlays.signal.levels import FloatArray
from overlays.signal.log_curve import LogParameters, drafted_curve
from overlays.signal.logarithms import light_of_log
from overlays.signal.tabled import FEWEST, tabled_curve

FITS_STOPS = 0.012
"""How far the mean of neighbouring steps may lie beside the parameters, besides its half width."""

MOST_BESIDE = 0.015
"""Stops that parameters may lie beside the smoothest values: where noise leaves more than that
open they are no better known, but then a table does not bend them all by one wrong end."""

SET_OFF = 2.0
"""Deviations of steps that are set off by which the smoothest values may be bent at an end."""

SMOOTHED = 5
"""Steps of such a mean."""

OFFSETS = np.geomspace(1e-4, 0.2, 400)
"""Of light inside the logarithm, tried one by one: those of the published curves are 0.0004 to 0.09
on their own scale (tests/reference/clf.csv)."""

COARSE = 8
"""Of them that are passed over first; then all about the best are tried."""

LEAST_RISE = 1e-6
"""Of the value from a point of the table to the next."""

NAME, BASE = "measured", 2.0

NO_TOE = (1.0, 0.0, -math.inf)
"""Slope, offset and break of a straight end that is nowhere."""


@dataclass(frozen=True, slots=True, eq=False)
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
    beside_stops:
        (steps,) how far it lies beside the smoothest values that they allow.
    """

    curve: Curve
    parameters: LogParameters | None
    largest_off_stops: float
    beside_stops: FloatArray


def fitted(
    steps: Sequence[Step], half_widths: FloatArray, lies: Smooth, scatter_stops: float = 0.0
) -> FittedCurve:
    """The simplest curve through steps.

    Parameters
    ----------
    steps:
        Neither clipped nor mis-set, the darkest first.
    half_widths:
        (steps,) of their values at 95 %.
    lies:
        The smoothest values that they allow.
    scatter_stops:
        How far steps are set off: so far the smoothest values may be bent by them, and a curve of
        few parameters is not.

    Returns
    -------
    FittedCurve
        Log parameters where steps lie beside them by their noise alone.

    Raises
    ------
    TooFewStepsError
        The steps do not rise.

    Examples
    --------
    >>> from overlays.measure.characterise.bracket_steps import value_of
    >>> from overlays.measure.characterise.smooth import smooth
    >>> from overlays.measure.feedcheck.readings import CodeReading
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Signal
    >>> stops, half = np.arange(-4.0, 5.0), np.full(9, 0.0005)
    >>> values = published_curve("S-Log3").stops_to_value(stops)
    >>> read = [CodeReading(1023 * value, 0.1) for value in values]
    >>> steps = [Step(*each) for each in zip(stops, read, values, strict=True)]
    >>> lies = smooth(stops, values, half, (95 / 1023, 0.0005), code=1 / 1023)
    >>> fit = fitted(steps, half, lies)
    >>> round(1023 * fit.curve.stops_to_value(0.5)), fit.largest_off_stops < 0.01
    (458, True)
    """
    stops = np.array([step.stops for step in steps])
    values = np.array([step.value for step in steps])
    points, rising = _rising(stops, lies.values, lies.black)
    if len(points) < FEWEST:
        raise TooFewStepsError(
            f"of {len(stops)} steps only {len(points)} are brighter than all that are said to be "
            "darker; give each step a frame of its own, with the stops that it was exposed by"
        )
    table = tabled_curve(NAME, points, rising, lies.black)
    widths = _in_stops(table, stops, half_widths)
    given = (stops, values, half_widths, lies)
    best = next(_checked(_drafts(range(0, len(OFFSETS), COARSE), *given)), None)
    at = 0 if best is None else best[0]
    near = range(max(at - COARSE + 1, 0), min(at + COARSE, len(OFFSETS)))
    for _, each in _checked(_drafts(near, *given)):
        if _farthest(each) > MOST_BESIDE + SET_OFF * scatter_stops:
            break
        if _is_near(np.asarray(each.curve.value_to_stops(values)) - stops, widths):
            return each
    left = np.abs(np.asarray(table.value_to_stops(values)) - stops)
    largest = float(left[np.isfinite(left)].max(initial=0.0))
    return FittedCurve(table, None, largest, np.zeros(len(stops)))


def _farthest(tried: FittedCurve) -> float:
    """How far parameters lie beside the smoothest values."""
    return float(tried.beside_stops.max())


def _drafts(
    places: Sequence[int], stops: FloatArray, values: FloatArray, half: FloatArray, lies: Smooth
) -> list[tuple[int, FittedCurve]]:
    """The curves of some offsets that read every step, none checked yet, with their places."""
    drafted: list[tuple[int, LogParameters, Curve]] = []
    candidates = _candidates(OFFSETS[list(places)], stops, values, half, lies.black)
    for place, several in zip(places, candidates, strict=True):
        for parameters in several:
            with contextlib.suppress(CurveParameterError):
                drafted.append((place, parameters, drafted_curve(NAME, parameters)))
    if not drafted:
        return []
    every = _stops_of([curve for *_, curve in drafted], np.stack([values, lies.values]))
    with np.errstate(invalid="ignore"):
        beside = np.abs(every - stops)
        largest = beside[:, 0].max(axis=1).tolist()
    is_read = np.asarray(np.isfinite(beside).all(axis=(1, 2)))
    return [
        (place, FittedCurve(curve, parameters, largest[n], beside[n, 1]))
        for n, (place, parameters, curve) in enumerate(drafted)
        if is_read[n]
    ]


def _stops_of(curves: Sequence[Curve], values: FloatArray) -> FloatArray:
    """(curves, ...) stops of values, of all logarithms at once: a third of the time."""
    rows = []
    for each in curves:
        f = each.formula
        assert isinstance(f, LogWithToe | PureLog)  # as `drafted_curve` makes them
        toe = (f.toe, f.toe_offset, f.value_break) if isinstance(f, LogWithToe) else NO_TOE
        rows.append((f.slope, f.offset, f.gain, f.shift, *toe))
    shape = (-1, len(curves), *np.ones(values.ndim, int))
    slope, offset, gain, shift, toe, toe_offset, at = np.array(rows).T.reshape(shape)
    with np.errstate(all="ignore"):
        power = light_of_log(values, BASE, slope, offset, gain, shift)
        return linear_to_stops(np.where(values >= at, power, (values - toe_offset) / toe))


def _checked(drafts: Sequence[tuple[int, FittedCurve]]) -> Iterator[tuple[int, FittedCurve]]:
    """The nearest curve of each offset that can be measured with, the nearest first.

    A check takes longer than all else of a curve: only what would be taken is checked.
    """
    taken: set[int] = set()
    for place, each in sorted(drafts, key=lambda draft: _farthest(draft[1])):
        if place in taken:
            continue
        try:
            check_formula(each.curve.formula)
        except CurveParameterError:
            continue
        taken.add(place)
        yield place, each


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
    """Points that rise: where the darkest of smooth values do not, they are left out."""
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
    offsets: FloatArray,
    stops: FloatArray,
    values: FloatArray,
    half_widths: FloatArray,
    black: float,
) -> list[list[LogParameters]]:
    """Of each offset the straight line of value by logarithm, and that with a break to black."""
    linear = np.asarray(stops_to_linear(stops))
    log, weights, light = np.log2(linear + offsets[:, None]), half_widths**-2.0, linear.tolist()
    out: list[list[LogParameters]] = [[] for _ in offsets]
    rest = {0: list(range(len(offsets)))}  # by the first step that they are made of
    for _ in range(2):
        left, rest = rest, {}
        for first, places in left.items():
            if len(stops) - first < 3:
                continue
            logs = np.take(log[:, first:], places, axis=0)
            lines = _lines(logs, values[first:], weights[first:])
            for place, slope, height in zip(places, *lines, strict=True):
                if slope <= 0.0:
                    continue
                offset = float(offsets[place])
                at = _break(slope, height, offset, black)
                out[place].append(LogParameters(BASE, slope, height, 1.0, offset, at))
                if at is not None:
                    rest.setdefault(bisect_left(light, at), []).append(place)
    return out


def _lines(x: FloatArray, y: FloatArray, weights: FloatArray) -> tuple[list[float], list[float]]:
    """(slopes, heights at 0) of the straight lines of y over rows of x, by weighted least squares.

    Some hundreds are tried for a camera; `numpy.polyfit` takes ten times as long for each.
    """
    weights = weights / weights.sum()
    middle, height = _weighed(weights, x), _weighed(weights, y)
    away = x - middle[:, None]
    slope = _weighed(weights, away * (y - height)) / _weighed(weights, away**2)
    return slope.tolist(), (height - slope * middle).tolist()


def _weighed(weights: FloatArray, rows: FloatArray) -> FloatArray:
    """(...) weighed sums of (..., n)."""
    # Each a product of two vectors: of a matrix a row comes out in other bits among other rows.
    return np.asarray((weights @ rows[..., None])[..., 0])


def _break(slope: float, height: float, offset: float, black: float) -> float | None:
    """Light below which the tangent of the logarithm meets black; None where none does."""
    natural = math.log(2.0)

    def at_black(light: float) -> float:
        inside = light + offset
        tangent = slope / (inside * natural)
        return slope * math.log2(inside) + height - tangent * light

    if not at_black(1e-6) < black < at_black(0.1):
        return None
    # With x for the logarithm of light and offset, x + offset e^-x is what black asks for: it
    # bends one way, so that Newton's steps from above come down to it and never pass it.
    wanted, x = 1.0 + (black - height) * natural / slope, math.log(0.1 + offset)
    for _ in range(40):
        inner = offset * math.exp(-x)
        move = (x + inner - wanted) / (1.0 - inner)
        x -= move
        if move < 1e-14:
            break
    return math.exp(x) - offset
