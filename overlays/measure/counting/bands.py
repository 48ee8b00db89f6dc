"""Where stripes belong: levels inside a band, above a ceiling or below a floor, as codes."""

import math
from dataclasses import dataclass
from enum import Enum

from overlays.errors import BandError
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.levels import luma_scale, percent_to_code
from overlays.signal.quantities import Level, Unit


class BandKind(Enum):
    """Which side of its level a band lies on."""

    AROUND = "around"
    ABOVE = "above"
    BELOW = "below"


@dataclass(frozen=True, slots=True)
class Band:
    """A band as a person gives it: `at` +/- `within`, or all above or below `at`."""

    kind: BandKind
    at: Level
    within: Level | None = None

    def __str__(self) -> str:
        if self.kind is BandKind.AROUND:
            return f"{self.at} ± {str(self.within).lstrip('+')}"
        return f"{self.kind.value} {self.at}"


@dataclass(frozen=True, slots=True)
class CodeBand:
    """A band in luma codes of one signal, both ends inside it."""

    band: Band
    low: int
    high: int


def around(at: Level, within: Level) -> Band:
    """The levels from `at - within` to `at + within`.

    Parameters
    ----------
    at:
        The middle.
    within:
        How far the edges are from it, in the same unit.

    Returns
    -------
    Band
        A band around a level.

    Examples
    --------
    >>> str(around(Level(41.0, Unit.PERCENT), Level(2.0, Unit.PERCENT)))
    '41 % ± 2 %'
    """
    return Band(BandKind.AROUND, at, within)


def _limits_percent(band: Band, yard: Yardstick) -> tuple[float, float]:
    at = band.at.percent(yard.carried)
    if band.kind is BandKind.ABOVE:
        return at, math.inf
    if band.kind is BandKind.BELOW:
        return -math.inf, at
    within = band.within
    if within is None or within.number <= 0.0:
        raise BandError(f"the band {band} has no width; give `within` above 0")
    if within.unit is not band.at.unit:
        raise BandError(
            f"the band {band} mixes units; give `at` and `within` both in % or both in st"
        )
    low = Level(band.at.number - within.number, within.unit).percent(yard.carried)
    high = Level(band.at.number + within.number, within.unit).percent(yard.carried)
    return low, high


def under_ceiling(band: Band, yard: Yardstick) -> Band:
    """The band, or one that begins at the camera's ceiling where that lies beneath its level.

    What marks the brightest part of a picture has to mark what is clipped in it.

    Parameters
    ----------
    band:
        Only one above a level is changed.
    yard:
        With the ceilings that were found, if any: then a neutral of the level that is given is
        clipped in at least one channel, rounding allowed for.

    Returns
    -------
    Band
        In the unit of the band that is given.

    Examples
    --------
    >>> from overlays.measure.counting.clip import FlatTop
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> flat = VIDEO.under(FlatTop(percents=(90.0, 92.0, 91.0), share=0.01))
    >>> str(under_ceiling(Band(BandKind.ABOVE, Level(95.0, Unit.PERCENT)), flat))
    'above 89.8394 %'
    """
    if band.kind is not BandKind.ABOVE or yard.flat_top is None:
        return band
    limit = 100.0 * float(yard.clip_limits.min())
    if band.at.percent(yard.carried) <= limit:
        return band
    if band.at.unit is Unit.PERCENT:
        return Band(BandKind.ABOVE, Level(limit, Unit.PERCENT))
    return Band(BandKind.ABOVE, Level(yard.carried.percent_to_stops(limit), Unit.STOPS))


def code_band(band: Band, yard: Yardstick) -> CodeBand:
    """The codes of a band on a feed's signal.

    Parameters
    ----------
    band:
        In stops or percent, with or without an upper and a lower end.
    yard:
        Of the feed's signal, which says what a code is.

    Returns
    -------
    CodeBand
        First and last code that belong to it, both inside 0 to the signal's top code.

    Raises
    ------
    BandError
        No code of this signal lies in the band, or the band has no width.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> band = code_band(around(Level(50.0, Unit.PERCENT), Level(1.0, Unit.PERCENT)), VIDEO)
    >>> band.low, band.high  # 502 is 50 %, and a percent 8.76 codes
    (494, 510)
    """
    low, high = _limits_percent(band, yard)
    top = luma_scale(yard.signal).top
    slack = 1e-9  # a limit that is exactly a code belongs to the band
    first = 0 if low == -math.inf else math.ceil(percent_to_code(low, yard.signal) - slack)
    last = top if high == math.inf else math.floor(percent_to_code(high, yard.signal) + slack)
    first, last = max(first, 0), min(last, top)
    if first > last:
        curve = yard.carried.curve.name
        raise BandError(
            f"the band {band} holds no code of a {yard.signal.bits}-bit {yard.signal.range.value} "
            f"{curve} signal; {_remedy(band)}"
        )
    return CodeBand(band, first, last)


def _remedy(band: Band) -> str:
    if band.kind is BandKind.AROUND and band.at.unit is Unit.STOPS:
        return "widen it, or move it between the curve's black and its top"
    if band.kind is BandKind.AROUND:
        return "widen it, or move it between 0 % and 100 %"
    return "move its level into what the signal carries"
