"""Finds a white, a grey and a black chip that are held side by side in a picture.

They are known by how far apart they are in stops, which no exposure changes, by lying close to each
other, and by two of them being nearly neutral. A chart has such a row too, and so has a wall with a
shadow in it: what is found is for somebody to look at.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from overlays.measure.balance.balance import BalanceSettings, read_balance
from overlays.measure.card.card import MOST_TRIED, NEARLY, inside, large_enough
from overlays.measure.chart.blobs import Blob, flat_blobs, small_picture
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.gamuts import Gamut

WHITE_OVER_GREY = math.log2(0.90 / 0.18)
"""Stops of a white chip of 90 % over a grey one of 18 % (common practice, no source)."""

APART = 0.4
"""Stops by which that may be missed: white chips are sold from 78 to 98 %, grey ones from 16 to
20 % (common practice, no source), and one of them may stand a little turned from the light."""

BLACK_UNDER_GREY = 1.6
"""Stops that a black chip is under the grey one at least: 5 % under 16 % are 1.7 (common practice,
no source), with some reflection on it."""

NEAR = 5.0
"""Edges of the larger thing from middle to middle: chips that are judged together are held so; in
the row of greys of a chart of 24 patches white and grey are 3.6 edges apart, 4.5 of those of the
flat within them (measured on a photographed one)."""

MOST = 3 * MOST_TRIED
"""Flat things that are read, the largest first: it bounds the time."""

NONE_FLAT = "no chips were found: nothing in the picture is flat and as large as the spot"
NONE_APART = (
    "no chips were found: no white lies 2.3 st over a nearly neutral grey beside it, with a black "
    "next to them, unclipped and as large as the spot"
)


@dataclass(frozen=True, slots=True)
class FoundChips:
    """Where three chips are, or why none were found.

    Attributes
    ----------
    places:
        Spots in the middle of white, grey and black; None where they were not found.
    words:
        What was found, or why nothing; without a full stop.
    """

    places: tuple[SpotPlace, SpotPlace, SpotPlace] | None
    words: str


@dataclass(frozen=True, slots=True)
class _Flat:
    """A flat thing that was read; `stops` are minus infinity where there is no light."""

    blob: Blob
    spot: SpotReading
    stops: float
    is_neutral: bool


def find_chips(frame: Frame, yard: Yardstick, gamut: Gamut, size: int) -> FoundChips:
    """Find the three chips.

    Parameters
    ----------
    frame, yard:
        The picture, and what it is measured with.
    gamut:
        What its linear R, G, B mean.
    size:
        Edge of the spots that are to lie on them, in pixels of the frame.

    Returns
    -------
    FoundChips
        Without places, and the reason in words, where there are none.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> from overlays.signal.gamuts import published_gamut
    >>> frame = grey_frame([[200] * 5, [200, 598, 420, 170, 200], [200] * 5], cell=32)
    >>> found = find_chips(frame, LOG, published_gamut("S-Gamut3"), size=12)
    >>> [place.column for place in found.places]  # 90 % is 598, by the paper
    [48, 80, 112]
    """
    picture = small_picture(frame, yard)
    blobs = large_enough(flat_blobs(picture, largest_share=1.0), picture, size)
    if not blobs:
        return FoundChips(None, NONE_FLAT)
    settings = BalanceSettings(gamut)
    flats = []
    for blob in blobs[:MOST]:
        place = inside(blob, picture.factor, size, frame)
        spot = read_spot(frame, yard, place)
        if spot.hides_light:
            continue
        neutral = False
        if spot.stops is not None:
            found = read_balance(frame, yard, place, settings)
            neutral = found.refusal is None and (found.off_neutral or 0.0) <= NEARLY
        stops = -math.inf if spot.stops is None else spot.stops
        flats.append(_Flat(blob, spot, stops, neutral))
    best = _best(flats)
    if best is None:
        return FoundChips(None, NONE_APART)
    white, grey, black = (each.spot.place for each in best)
    return FoundChips((white, grey, black), "a white, a grey and a black side by side")


def _best(flats: Sequence[_Flat]) -> tuple[_Flat, _Flat, _Flat] | None:
    """Those of which the smallest is largest."""
    neutral = [each for each in flats if each.is_neutral]
    best, largest = None, 0.0
    for white, grey in product(neutral, repeat=2):
        apart = white.stops - grey.stops
        if abs(apart - WHITE_OVER_GREY) > APART or not _are_near(white, grey):
            continue
        for black in flats:
            area = min(white.blob.area, grey.blob.area, black.blob.area)
            is_black = black.stops <= grey.stops - BLACK_UNDER_GREY
            beside = _are_near(black, white) or _are_near(black, grey)
            if is_black and beside and area > largest:
                best, largest = (white, grey, black), area
    return best


def _are_near(one: _Flat, other: _Flat) -> bool:
    edge = math.sqrt(max(one.blob.area, other.blob.area))
    across, down = one.blob.column - other.blob.column, one.blob.row - other.blob.row
    return math.hypot(across, down) <= NEAR * edge
