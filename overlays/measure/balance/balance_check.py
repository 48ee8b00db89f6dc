"""What makes a card unfit to balance by: clipped, too dark, or unevenly lit."""

import math
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.measure.spot.spot_errors import SpotErrors
from overlays.measure.spot.uncertainty import PlaneError
from overlays.signal.frame import Frame

DARKEST_STOPS = -5.0
"""Below this a card carries more of the camera's black than of the light's colour."""
MOST_BELOW_FLOOR = 0.02
LARGEST_UNEVEN_STOPS = 0.3
"""Spread of luminance over the card above which shadow, glare or an edge lies on it."""
LARGEST_MIXED_STOPS = 0.1
"""Spread of R/G or B/G over the card above which two different lights fall on it."""
_SMALLEST_CELL = 4
_MOST_HIDDEN = 3.0
"""By how much noise of a card may be larger than a ninth of it shows: of noise blurred by 4 pixels,
more than denoisers leave, a cell of 16 pixels shows 0.4 (measured on made frames)."""


def refusal_of(frame: Frame, yard: Yardstick, spot: SpotReading) -> str | None:
    """Why a spot cannot be balanced by, in one sentence; None where it can.

    Parameters
    ----------
    frame:
        The picture, from which parts of the spot are read again.
    yard:
        What it is measured with.
    spot:
        The reading of the whole card.

    Returns
    -------
    str | None
        Clipped, too dark or unevenly lit, in this order, and what to do.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> white, place = grey_frame([[1019]], cell=32), SpotPlace(16, 16, 16)
    >>> refusal_of(white, VIDEO, read_spot(white, VIDEO, place)).split(',')[0]
    'the card is clipped in red'
    """
    return _clipped(spot) or _dark(spot) or _uneven(frame, yard, spot)


def _clipped(spot: SpotReading) -> str | None:
    if not spot.hides_light:
        return _perhaps_clipped(spot)
    shares = dict(zip(("red", "green", "blue"), spot.clipped_rgb, strict=True))
    # Where no channel alone has more than noise explains, the fullest stands for all.
    *others, last = [name for name, share in shares.items() if share > spot.explained] or [
        max(shares, key=lambda name: shares[name])
    ]
    channels = f"{', '.join(others)} and {last}" if others else last
    return (
        f"the card is clipped in {channels}, so its colour is lost; close the lens until it lies "
        "well below the clip"
    )


def _perhaps_clipped(spot: SpotReading) -> str | None:
    if not spot.may_clip:
        return None
    return (
        f"the card may be clipped by the camera ({spot.may_clip}): it is flat and nothing in the "
        "picture is brighter; close the lens until it lies well below the clip"
    )


def _dark(spot: SpotReading) -> str | None:
    dark = (
        spot.stops is None
        or spot.stops_pm is None
        or spot.stops < DARKEST_STOPS
        or spot.below_floor > MOST_BELOW_FLOOR
        or min(spot.rgb_linear) <= 0.0
    )
    if not dark:
        red, green, blue = spot.rgb_linear
        for light, axis in ((red, 0), (green, 1), (blue, 2)):
            dark = dark or spot.errors.pm(np.eye(3)[axis]) > 0.5 * light
    if not dark:
        return None
    at = "" if spot.stops is None else f" ({spot.stops:+.1f} stops)"
    return f"the card is too dark to have a colour{at}; open the lens or bring light on it"


def _cells(spot: SpotReading) -> list[SpotPlace]:
    """The spot cut in three by three, or two by two, or none where it is too small."""
    place = spot.place
    across = 3 if min(place.size, place.rows) >= 3 * _SMALLEST_CELL else 2
    width, height = place.size // across, place.rows // across
    if min(width, height) < _SMALLEST_CELL:
        return []
    return [
        SpotPlace(
            place.left + i * width + width // 2, place.top + j * height + height // 2, width, height
        )
        for j in range(across)
        for i in range(across)
    ]


def _uneven(frame: Frame, yard: Yardstick, spot: SpotReading) -> str | None:
    cells = [read_spot(frame, yard, place) for place in _cells(spot)]
    if not cells:
        return None
    if any(min(cell.rgb_linear) <= 0.0 for cell in cells):
        return "the spot does not lie on the card alone; move it to the middle of the card"
    brightness = [math.log2(cell.luminance) for cell in cells]
    spread = max(brightness) - min(brightness)
    doubt = _doubt(spot, cells, yard.weights / spot.luminance)
    if spread > LARGEST_UNEVEN_STOPS + 2.0 * doubt:
        return (
            f"the card is uneven by {spread:.1f} stops; keep shadow and glare off it, and the spot "
            "within its edges"
        )
    for name, channel in (("red", 0), ("blue", 2)):
        ratios = [math.log2(cell.rgb_linear[channel] / cell.rgb_linear[1]) for cell in cells]
        gradient = np.zeros(3)
        gradient[channel] = 1.0 / spot.rgb_linear[channel]
        gradient[1] = -1.0 / spot.rgb_linear[1]
        doubt = _doubt(spot, cells, gradient)
        spread = max(ratios) - min(ratios)
        if spread > LARGEST_MIXED_STOPS + 2.0 * doubt:
            return (
                f"the card's {name} against green differs by {spread:.2f} stops from place to "
                "place: it stands in two lights, or the spot lies across its edge"
            )
    return None


def _doubt(spot: SpotReading, cells: list[SpotReading], gradient: npt.NDArray[np.float64]) -> float:
    """Half width in stops of one cell's log2 quantity, whose natural logarithm has a gradient.

    A cell is small: noise that is correlated over as many pixels as it has shows little of itself
    within it. The whole spot shows more, and the noise of its mean comes to at most so much in a
    cell as the root of the areas says, which is that of noise that is not correlated. But the edge
    between two lights looks like noise in the few cells that it crosses and in the whole spot:
    the median of the cells knows it from noise, which is everywhere.
    """
    small, large = cells[0].place, spot.place
    across = math.sqrt(large.size * large.rows / (small.size * small.rows))
    seen = float(np.median([cell.errors.pm(gradient) for cell in cells]))
    whole = across * _of_noise(spot.errors).pm(gradient)
    return max(seen, min(whole, _MOST_HIDDEN * seen)) / math.log(2.0)


def _of_noise(errors: SpotErrors) -> SpotErrors:
    """The errors without rounding, which is the same in a part of the spot as in the whole."""
    planes = [PlaneError(p.standard, 0.0, p.noise, p.degrees) for p in errors.planes]
    return replace(errors, planes=planes)
