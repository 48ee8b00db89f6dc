"""What it costs to read a feed as something that it is not."""

from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.clip import picture_codes
from overlays.measure.feedcheck.delivery import Delivery
from overlays.signal.curves import stops_to_linear
from overlays.signal.signal import Signal

PLACES = {"mid-grey": 0.0, "a white chip": 2.32, "four stops below mid-grey": -4.0}
"""Where the cost is told, in stops."""


@dataclass(frozen=True, slots=True)
class Misread:
    """One place.

    Attributes
    ----------
    place:
        What lies there, in words.
    stops:
        Where it truly lies.
    off_stops:
        Read less true; None where it is cut off on the way or reads as no light.
    """

    place: str
    stops: float
    off_stops: float | None


def misread(truly: Delivery, taken_for: Delivery, bits: int) -> tuple[Misread, ...]:
    """How far readings are off at mid-grey, white and in the dark.

    Parameters
    ----------
    truly, taken_for:
        What arrives, and how it is read.
    bits:
        Depth of the codes.

    Returns
    -------
    tuple[Misread, ...]
        In the order of `PLACES`.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> standard = published_curve("BT.709")
    >>> limited = Delivery(standard, Carriage.NARROW, Range.LIMITED)
    >>> full = Delivery(standard, Carriage.NARROW, Range.FULL)
    >>> [round(each.off_stops, 2) for each in misread(limited, full, 10)]
    [0.02, -0.23, 1.09]
    """
    return tuple(
        Misread(place, stops, _off(truly, taken_for, stops, bits))
        for place, stops in PLACES.items()
    )


def _off(truly: Delivery, taken_for: Delivery, stops: float, bits: int) -> float | None:
    code = float(truly.codes(np.array([stops_to_linear(stops)]), bits)[0])
    low, high = picture_codes(Signal(bits, truly.range))
    if not low < code < high:
        return None
    read = taken_for.stops(code, bits)
    return read - stops if np.isfinite(read) else None


def largest_difference(
    one: Delivery, other: Delivery, bits: int, codes: tuple[float, float]
) -> float | None:
    """Largest difference in stops that two ways to read a feed make of the same codes.

    Parameters
    ----------
    one, other:
        Two readings of the feed.
    bits:
        Depth of the codes.
    codes:
        (lowest, highest) that matter: from four stops under the card to the clip.

    Returns
    -------
    float | None
        In stops; None where one of them reads some of it as no light.

    Examples
    --------
    >>> from overlays.signal.levels import Carriage
    >>> from overlays.signal.published import published_curve
    >>> from overlays.signal.signal import Range
    >>> log = published_curve("S-Log3")
    >>> limited, full = (Delivery(log, Carriage.FULL, each) for each in (Range.LIMITED, Range.FULL))
    >>> largest_difference(limited, full, 10, (420.0, 940.0)) < 1e-9  # full carriage is whole
    True
    """
    steps = np.linspace(*codes, 64)
    with np.errstate(invalid="ignore"):  # no light to both
        apart = np.abs(one.stops(steps, bits) - other.stops(steps, bits))
    return float(apart.max()) if np.isfinite(apart).all() else None
