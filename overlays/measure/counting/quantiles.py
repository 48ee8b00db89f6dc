"""Medians and quantiles of a few hundred numbers, many times a second.

Numpy's own give the same numbers, and take five times as long for all else that they can do.
"""

import numpy as np

from overlays.signal.levels import FloatArray


def median(values: FloatArray) -> FloatArray:
    """The median along the first axis, to the last bit as `np.median` has it.

    Parameters
    ----------
    values:
        (n, ...) float64, n at least 1, none of them nan.

    Returns
    -------
    ndarray
        (...) float64, in the unit of the values.

    Examples
    --------
    >>> float(median(np.array([3.0, 1.0, 2.0]))), float(median(np.array([4.0, 1.0, 3.0, 2.0])))
    (2.0, 2.5)
    """
    low, high = (len(values) - 1) // 2, len(values) // 2
    rising = np.partition(values, (low, high), axis=0)
    return np.asarray((rising[low] + rising[high]) / 2.0)


def quantile(rising: FloatArray, share: float) -> float:
    """The number below which a share of sorted numbers lies, to the last bit as `np.quantile`.

    Parameters
    ----------
    rising:
        (n,) float64, sorted, n at least 1, none of them nan.
    share:
        0 to 1.

    Returns
    -------
    float
        In the unit of the numbers; between two of them on the straight line.

    Examples
    --------
    >>> quantile(np.array([1.0, 2.0, 4.0]), 0.5), quantile(np.array([1.0, 2.0, 4.0]), 0.75)
    (2.0, 3.0)
    """
    place = share * (len(rising) - 1)
    before = int(place)
    low, high = float(rising[before]), float(rising[min(before + 1, len(rising) - 1)])
    beyond = place - before
    # From the nearer of the two, which decides the last bit.
    if beyond >= 0.5:
        return high - (high - low) * (1.0 - beyond)
    return low + (high - low) * beyond
