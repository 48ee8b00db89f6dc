"""A curve as it lies on the levels of a signal, and the table that kernels read light from."""

from dataclasses import dataclass
from functools import lru_cache
from typing import overload

import numpy as np
import numpy.typing as npt

from overlays.signal.curves import Curve, linear_to_stops, stops_to_linear
from overlays.signal.levels import Carriage, carriage_line
from overlays.signal.signal import Range

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CarriedCurve:
    """A curve as one feed carries it: nominal level (1.0 = 100 %) to scene light and back."""

    curve: Curve
    carriage: Carriage
    signal_range: Range

    @overload
    def light(self, nominal: float) -> float: ...
    @overload
    def light(self, nominal: FloatArray) -> FloatArray: ...
    def light(self, nominal: float | FloatArray) -> float | FloatArray:
        """Scene reflectance of a nominal level.

        Parameters
        ----------
        nominal:
            Level, 0 at black and 1 at 100 %; an array may have any shape.

        Returns
        -------
        float or ndarray
            Linear; mid-grey is 0.18. Of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> video = CarriedCurve(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
        >>> round(video.light(1.0), 3)
        1.0
        """
        offset, slope = carriage_line(self.carriage, self.signal_range)
        return self.curve.decode(offset + slope * nominal)

    @overload
    def nominal(self, linear: float) -> float: ...
    @overload
    def nominal(self, linear: FloatArray) -> FloatArray: ...
    def nominal(self, linear: float | FloatArray) -> float | FloatArray:
        """Nominal level of scene reflectance.

        Parameters
        ----------
        linear:
            Scene reflectance; an array may have any shape.

        Returns
        -------
        float or ndarray
            Level, 0 at black and 1 at 100 %, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> log = CarriedCurve(published_curve("V-Log"), Carriage.FULL, Range.FULL)
        >>> round(1023 * log.nominal(0.18))  # the maker: 433
        433
        """
        offset, slope = carriage_line(self.carriage, self.signal_range)
        return (self.curve.encode(linear) - offset) / slope

    @overload
    def percent_to_stops(self, percent: float) -> float: ...
    @overload
    def percent_to_stops(self, percent: FloatArray) -> FloatArray: ...
    def percent_to_stops(self, percent: float | FloatArray) -> float | FloatArray:
        """Stops of a neutral at a video level in percent.

        Parameters
        ----------
        percent:
            Video level; 0 at black, 100 at nominal white; an array may have any shape.

        Returns
        -------
        float or ndarray
            Stops from mid-grey, of the same shape.

        Examples
        --------
        >>> from overlays.signal.published import published_curve
        >>> video = CarriedCurve(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
        >>> round(video.percent_to_stops(100.0), 2)  # log2(1 / 0.18)
        2.47
        """
        return linear_to_stops(self.light(percent / 100.0))

    def stops_to_percent(self, stops: float) -> float:
        """Video level in percent of a neutral a number of stops from mid-grey.

        Parameters
        ----------
        stops:
            Stops from mid-grey.

        Returns
        -------
        float
            Percent of video level.

        Examples
        --------
        >>> from overlays.signal.levels import Carriage
        >>> from overlays.signal.published import published_curve
        >>> from overlays.signal.signal import Signal
        >>> log = CarriedCurve(published_curve("S-Log3"), Carriage.FULL, Signal(10))
        >>> f"{log.stops_to_percent(0.0):.1f}"  # code 420 is (420 - 64) / 876
        '40.6'
        """
        return 100.0 * self.nominal(stops_to_linear(stops))


@dataclass(frozen=True, slots=True)
class LightTable:
    """Look-up table of `CarriedCurve.light` for kernels: straight lines between even nodes.

    ``light(E) ~ nodes[i] + (E - low) / step - i`` of the way to the next node. The nodes lie a
    quarter of a 10-bit code apart, so that the error of a log curve is below 1e-6 of the light. The
    step is a power of two: loops multiply by its inverse, which is as exact as a division.
    """

    low: float
    step: float
    nodes: FloatArray


TABLE_LOW, TABLE_HIGH, TABLE_NODES = -1.25, 2.75, 16385
"""Every R'G'B' that any Y'CbCr code of any matrix can decode to lies in this span."""

KEPT_TABLES = 16
"""Of 131 kB each: of the curves of all profiles in use, as a feed and its overrides carry them."""


@lru_cache(KEPT_TABLES)
def light_table(carried: CarriedCurve) -> LightTable:
    """The table of a curve as a feed carries it; the same one each time it is asked for.

    Parameters
    ----------
    carried:
        A curve on the signal of one feed.

    Returns
    -------
    LightTable
        From below black to above the top code.

    Examples
    --------
    >>> from overlays.signal.published import published_curve
    >>> log = CarriedCurve(published_curve("S-Log3"), Carriage.FULL, Range.LIMITED)
    >>> table = light_table(log)
    >>> at = round(((420 - 64) / 876 - table.low) / table.step)  # the node next to code 420
    >>> round(float(table.nodes[at]), 3)
    0.18
    """
    grid = np.linspace(TABLE_LOW, TABLE_HIGH, TABLE_NODES)
    with np.errstate(over="ignore"):
        nodes = np.ascontiguousarray(carried.light(grid))
    return LightTable(TABLE_LOW, float(grid[1] - grid[0]), nodes)
