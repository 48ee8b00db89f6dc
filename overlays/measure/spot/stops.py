"""Light in stops from mid-grey, and what a half width in light is worth there."""

import math

from overlays.signal.curves import MID_GREY


def stops_of(light: float, least: float = 0.0) -> float | None:
    """Stops from mid-grey of linear light; None where there is no more than `least`."""
    return math.log2(light / MID_GREY) if light > max(least, 0.0) else None


def stops_pm(light: float, half_width: float) -> float | None:
    """Half width in stops of a light known to ± `half_width`; None where that reaches zero.

    The lower side, which is the wider one.
    """
    if light <= half_width:
        return None
    return -math.log2(1.0 - half_width / light)
