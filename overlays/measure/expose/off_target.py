"""How far a spot lies from where it belongs, in stops of light."""

import numpy as np

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading
from overlays.signal.quantities import Level, Unit

_REACH_STOPS = 24.0
"""How far a percent is searched for, either way."""


def off_target(
    spot: SpotReading, target: Level, yard: Yardstick
) -> tuple[float | None, float | None]:
    """How far a spot lies above its target in stops of light, with its ±; None where unknown.

    A target in percent is reached when the spot's luma is there: for a coloured spot that is
    searched through the curve, channel by channel, since its luma and its luminance differ.

    Parameters
    ----------
    spot:
        What was read.
    target:
        In stops from mid-grey or in percent of video level.
    yard:
        What it was read with.

    Returns
    -------
    tuple
        (stops, 95 % half width in stops); positive is too bright.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[496]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> round(off_target(spot, Level(0.0, Unit.STOPS), LOG)[0], 2)
    1.0
    """
    if spot.stops is None:
        return None, None
    if target.unit is Unit.STOPS:
        return spot.stops - target.number, spot.stops_pm
    light = np.maximum(np.array(spot.rgb_linear), 0.0)

    def percent_after(change: float) -> float:
        return 100.0 * float(yard.weights @ yard.carried.nominal(light * 2.0**change))

    low, high = -_REACH_STOPS, _REACH_STOPS
    if not percent_after(low) <= target.number <= percent_after(high):
        return None, None
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if percent_after(middle) < target.number else (low, middle)
    return 0.0 - (low + high) / 2.0, spot.stops_pm
