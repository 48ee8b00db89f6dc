"""Light in stops from mid-grey, and what a half width in light is worth there."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from overlays.signal.curves import MID_GREY

FloatArray = npt.NDArray[np.float64]

LEAST_LIGHT = 1e-3
"""Light in codes that is still light: a mean of a million samples that were rounded is not surer
than that (1/sqrt(12 * 10**6) of a code), and black with a code of chroma leaves 1e-15."""

LEAST_STOPS = -20.0
"""Stops from mid-grey up to which light is none: what noise leaves in a mean through a curve that
is flat at black says nothing. The first code of 10 bits above black lies higher on every published
curve but BT.1886's, where it is at -20.99."""
_DARKEST = MID_GREY * 2.0**LEAST_STOPS


def stops_of(light: float, least: float = 0.0) -> float | None:
    """Stops from mid-grey of linear light.

    Parameters
    ----------
    light:
        Linear; 0.18 is mid-grey.
    least:
        Up to which it is none, in the same unit; 20 stops below mid-grey at the least.

    Returns
    -------
    float | None
        Stops; None where there is no light.

    Examples
    --------
    >>> stops_of(0.36), stops_of(-0.001) is None
    (1.0, True)
    """
    return math.log2(light / MID_GREY) if light > max(least, _DARKEST) else None


def stops_pm(light: float, half_width: float) -> float | None:
    """Half width in stops of a light known to ± `half_width`.

    The lower side, which is the wider one.

    Parameters
    ----------
    light, half_width:
        Linear, in one unit.

    Returns
    -------
    float | None
        Stops; None where it reaches down to no light.

    Examples
    --------
    >>> stops_pm(0.2, 0.1), stops_pm(0.2, 0.2) is None
    (1.0, True)
    """
    if light <= half_width:
        return None
    return -math.log2(1.0 - half_width / light)


def light_stops(
    light: FloatArray, slopes: FloatArray, weights: FloatArray
) -> tuple[float | None, tuple[float | None, float | None, float | None]]:
    """Stops of mean light and of its R, G and B.

    Parameters
    ----------
    light:
        (3,) float64 mean linear R, G, B; 0.18 is mid-grey.
    slopes:
        (3, 3) float64 mean derivatives of R, G, B (rows) by the codes of the planes (columns).
    weights:
        (3,) float64 of luminance.

    Returns
    -------
    tuple
        Stops from mid-grey, and those of R, G, B; None where there is no light.

    Examples
    --------
    >>> light_stops(np.full(3, 0.36), np.eye(3), np.array([0.2, 0.7, 0.1]))[1]
    (1.0, 1.0, 1.0)
    """
    # What one code is worth here: less than a small part of it is residue of the arithmetic.
    least = LEAST_LIGHT * np.abs(slopes).max(axis=1)
    red, green, blue = (stops_of(float(light[k]), float(least[k])) for k in range(3))
    return stops_of(float(weights @ light), float(weights @ least)), (red, green, blue)


def at_most_stops(
    stops: Sequence[float | None], light: Sequence[float], widths: Sequence[float]
) -> list[float | None]:
    """Stops of the most that light may be of which noise is cut off below.

    Parameters
    ----------
    stops:
        Of its means; None where there is no light.
    light, widths:
        The means themselves, linear, and their 95 % half widths.

    Returns
    -------
    list
        Stops from mid-grey; None where there were none.

    Notes
    -----
    What is cut off lifts the mean of many pixels above the light. Of few, and where there is less
    noise than a code, noise and rounding may have left less than there is.

    Examples
    --------
    >>> at_most_stops([0.0, None], [0.18, -0.1], [0.18, 0.3])
    [1.0, None]
    """
    return [
        None if each is None else stops_of(float(mean) + width)
        for each, mean, width in zip(stops, light, widths, strict=True)
    ]
