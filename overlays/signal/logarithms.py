"""Logarithms as formulas of curves take them, and the light behind one."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def log_of(x: FloatArray, base: float) -> FloatArray:
    """Logarithm of the positive part: the branch that is not taken must not raise warnings.

    Parameters
    ----------
    x:
        float64 of any shape.
    base:
        Above 1.

    Returns
    -------
    ndarray
        float64, without a unit; of nought and less a number far below all others.

    Examples
    --------
    >>> log_of(np.array([1.0, 8.0]), 2.0).tolist()
    [0.0, 3.0]
    """
    out: FloatArray = np.log(np.maximum(x, np.finfo(np.float64).tiny)) / np.log(base)
    return out


def light_of_log(
    value: FloatArray,
    base: float,
    slope: float | FloatArray,
    offset: float | FloatArray,
    gain: float | FloatArray,
    shift: float | FloatArray,
) -> FloatArray:
    """Linear light of ``value = slope log_base(gain x + shift) + offset``.

    Parameters
    ----------
    value:
        float64 of any shape.
    base, slope, offset, gain, shift:
        Numbers, or arrays that broadcast against it: of many curves at once.

    Returns
    -------
    ndarray
        float64, on the formula's own scale.

    Examples
    --------
    >>> light_of_log(np.array([0.5, 0.75]), 2.0, 0.25, 0.5, 1.0, 0.0).tolist()
    [1.0, 2.0]
    """
    out: FloatArray = (base ** ((value - offset) / slope) - shift) / gain
    return out
