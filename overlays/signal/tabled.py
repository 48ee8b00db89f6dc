"""A curve as it was measured: signal by stops, joined by a monotone cubic."""

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from overlays.errors import CurveParameterError
from overlays.signal.curves import MID_GREY, Curve
from overlays.signal.levels import Carriage

FloatArray = npt.NDArray[np.float64]

NODES_A_STOP = 128
"""Straight lines between them are within 1e-5 of the cubic for any curve a camera has."""
FEWEST = 3
MOST = 256
MOST_STOPS = 30.0


@dataclass(frozen=True, slots=True)
class TabledStops:
    """Signal at stops, both rising, and the signal of no light.

    Between the points a cubic that keeps to their order (Fritsch & Carlson 1980); below the lowest
    a straight line in light down to black, above the highest the last slope goes on.
    """

    stops: tuple[float, ...]
    values: tuple[float, ...]
    black: float

    def encode(self, linear: FloatArray) -> FloatArray:
        """Signal of linear light.

        Parameters
        ----------
        linear:
            Reflectance, any shape.

        Returns
        -------
        ndarray
            Nominally 0 to 1, of the same shape.

        Examples
        --------
        >>> points = TabledStops(stops=(-1.0, 0.0, 1.0), values=(0.3, 0.4, 0.5), black=0.1)
        >>> points.encode(np.array([0.0, 0.18, 0.36])).round(3).tolist()
        [0.1, 0.4, 0.5]
        """
        stops, values = _grid(self.stops, self.values)
        lowest = MID_GREY * 2.0 ** float(stops[0])
        at = np.log2(np.maximum(linear, lowest) / MID_GREY)
        above = values[-1] + (at - stops[-1]) * _last_slope(stops, values)
        curve = np.where(at > stops[-1], above, np.interp(at, stops, values))
        toe = self.black + (values[0] - self.black) * linear / lowest
        return np.asarray(np.where(linear >= lowest, curve, toe))

    def decode(self, value: FloatArray) -> FloatArray:
        """Linear light of a signal.

        Parameters
        ----------
        value:
            Nominally 0 to 1, any shape.

        Returns
        -------
        ndarray
            Reflectance, of the same shape.

        Examples
        --------
        >>> points = TabledStops(stops=(-1.0, 0.0, 1.0), values=(0.3, 0.4, 0.5), black=0.1)
        >>> points.decode(np.array([0.1, 0.4, 0.5])).round(3).tolist()
        [0.0, 0.18, 0.36]
        """
        stops, values = _grid(self.stops, self.values)
        lowest = MID_GREY * 2.0 ** float(stops[0])
        above = stops[-1] + (value - values[-1]) / _last_slope(stops, values)
        at = np.where(value > values[-1], above, np.interp(value, values, stops))
        toe = lowest * (value - self.black) / (values[0] - self.black)
        return np.asarray(np.where(value >= values[0], MID_GREY * 2.0**at, toe))


def _last_slope(stops: FloatArray, values: FloatArray) -> float:
    return float((values[-1] - values[-2]) / (stops[-1] - stops[-2]))


@lru_cache(maxsize=32)
def _grid(stops: tuple[float, ...], values: tuple[float, ...]) -> tuple[FloatArray, FloatArray]:
    """Dense nodes of the cubic."""
    x, y = np.array(stops), np.array(values)
    step = np.diff(x)
    secant = np.diff(y) / step
    slope = np.empty_like(x)
    before, behind = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    slope[1:-1] = (before + behind) / (before / secant[:-1] + behind / secant[1:])
    slope[0], slope[-1] = _end(step[:2], secant[:2]), _end(step[::-1][:2], secant[::-1][:2])
    grid = np.linspace(x[0], x[-1], max(int((x[-1] - x[0]) * NODES_A_STOP), 2) + 1)
    place = np.clip(np.searchsorted(x, grid, "right") - 1, 0, len(step) - 1)
    t = (grid - x[place]) / step[place]
    made = (
        y[place] * (1 + 2 * t) * (1 - t) ** 2
        + y[place + 1] * t**2 * (3 - 2 * t)
        + step[place] * (slope[place] * t * (1 - t) ** 2 - slope[place + 1] * t**2 * (1 - t))
    )
    nodes = np.asarray(made)
    grid.flags.writeable = nodes.flags.writeable = False  # kept, so shared
    return grid, nodes


def _end(step: FloatArray, secant: FloatArray) -> float:
    """Slope at an end, from the two spans nearest to it, never the other way round."""
    found = ((2 * step[0] + step[1]) * secant[0] - step[0] * secant[1]) / (step[0] + step[1])
    return float(np.clip(found, 0.05 * secant[0], 3.0 * secant[0]))


def tabled_curve(
    name: str,
    stops: tuple[float, ...],
    values: tuple[float, ...],
    black: float,
    carriage: Carriage = Carriage.FULL,
) -> Curve:
    """The curve of measured points.

    Parameters
    ----------
    name:
        What to call it.
    stops, values:
        From mid-grey, and the curve's signal there; as many of each, both rising.
    black:
        The signal of no light, below all values.
    carriage:
        How its 0..1 is laid on codes.

    Returns
    -------
    Curve
        Of the family of logarithms, without a published gamut.

    Raises
    ------
    CurveParameterError
        The points cannot make a curve that rises.

    Examples
    --------
    >>> curve = tabled_curve("mine", stops=(-2.0, 0.0, 2.0), values=(0.2, 0.4, 0.6), black=0.1)
    >>> round(curve.stops_to_value(1.0), 3)
    0.5
    """
    if not FEWEST <= len(stops) <= MOST or len(stops) != len(values):
        raise CurveParameterError(
            f"{len(stops)} stops and {len(values)} values; {FEWEST} to {MOST} of each are needed, "
            "as many of the one as of the other"
        )
    every = [*stops, *values, black]
    rises = all(b > a for row in (stops, (black, *values)) for a, b in pairwise(row))
    if not all(np.isfinite(every)) or max(map(abs, stops)) > MOST_STOPS or not rises:
        raise CurveParameterError(
            "stops and values must rise from each to the next, black lie below all values, and "
            f"stops within {MOST_STOPS:g} either way"
        )
    source = "the profile's own measured points"
    return Curve(name, TabledStops(stops, values, black), source, carriage, carriage_stated=True)
