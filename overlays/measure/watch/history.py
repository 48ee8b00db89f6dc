"""The last minutes of a watched pin, thinned to what a strip can show: least, greatest and mean."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Columns of a strip, oldest first.

    Attributes
    ----------
    lowest, highest, mean:
        (columns,) float64 of one quantity; nan where there was no reading.
    end_ns:
        When the last column ends.
    column_ns:
        How long a column is.
    """

    lowest: FloatArray
    highest: FloatArray
    mean: FloatArray
    end_ns: int
    column_ns: int


class History:
    """Keeps (pins, 3) quantities for a while, in columns of equal time.

    Parameters
    ----------
    pins:
        How many.
    seconds:
        How long.
    columns:
        In how many columns.

    Examples
    --------
    >>> history = History(pins=1, seconds=4.0, columns=4)
    >>> for second, level in enumerate((0.0, 0.5, 0.5, 1.0)):
    ...     history.add(second * 1_000_000_000, np.array([[level, 0.0, 0.0]]))
    >>> history.stretch(0).mean.tolist()
    [0.0, 0.5, 0.5, 1.0]
    """

    def __init__(self, pins: int, seconds: float = 180.0, columns: int = 360) -> None:
        self._column_ns = round(seconds / columns * 1e9)
        shape = (columns, pins, 3)
        self._lowest = np.full(shape, np.nan)
        self._highest = np.full(shape, np.nan)
        self._sum = np.zeros(shape)
        self._count = np.zeros(shape)
        self._now: int | None = None

    def add(self, time_ns: int, values: FloatArray) -> None:
        """Take (pins, 3) values of a moment; nan for what is unknown. Time only goes forward.

        Parameters
        ----------
        time_ns:
            Of the moment.
        values:
            float64, in stops.
        """
        column = time_ns // self._column_ns
        if self._now is None or column > self._now:
            self._advance(column)
        place = column % self._lowest.shape[0]
        known = ~np.isnan(values)
        self._lowest[place] = np.fmin(self._lowest[place], values)
        self._highest[place] = np.fmax(self._highest[place], values)
        self._sum[place] += np.where(known, values, 0.0)
        self._count[place] += known

    def _advance(self, column: int) -> None:
        columns = self._lowest.shape[0]
        first = column - columns + 1 if self._now is None else self._now + 1
        for each in range(max(first, column - columns + 1), column + 1):
            place = each % columns
            self._lowest[place] = self._highest[place] = np.nan
            self._sum[place] = self._count[place] = 0.0
        self._now = column

    def stretch(self, pin: int, quantity: int = 0) -> Stretch | None:
        """Columns of one pin (its place, from 0) and quantity (0 level, 1 red, 2 blue).

        Parameters
        ----------
        pin:
            Its place, not its number.
        quantity:
            0, 1 or 2.

        Returns
        -------
        Stretch | None
            None before the first moment.
        """
        if self._now is None:
            return None
        columns = self._lowest.shape[0]
        order = np.arange(self._now + 1, self._now + 1 + columns) % columns
        count = self._count[order, pin, quantity]
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = self._sum[order, pin, quantity] / count
        return Stretch(
            self._lowest[order, pin, quantity],
            self._highest[order, pin, quantity],
            mean,
            (self._now + 1) * self._column_ns,
            self._column_ns,
        )
