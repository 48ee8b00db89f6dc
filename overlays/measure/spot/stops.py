"""Light in stops from mid-grey, and what a half width in light is worth there."""

import math

from overlays.signal.curves import MID_GREY


def stops_of(light: float, least: float = 0.0) -> float | None:
    """Stops from mid-grey of linear light.

    Parameters
    ----------
    light:
        Linear; 0.18 is mid-grey.
    least:
        Up to which it is none, in the same unit.

    Returns
    -------
    float | None
        Stops; None where there is no light.

    Examples
    --------
    >>> stops_of(0.36), stops_of(-0.001) is None
    (1.0, True)
    """
    return math.log2(light / MID_GREY) if light > max(least, 0.0) else None


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
