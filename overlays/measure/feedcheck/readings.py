"""The readings a feed check is made of: luma of cap, card, clip, white chip, darkened card."""

from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np

from overlays.errors import ReadingsOrderError
from overlays.measure.counting.census import Census, histogram
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.spot import SpotReading
from overlays.measure.spot.spot_means import percent_sizes
from overlays.measure.spot.uncertainty import combine
from overlays.signal.frame import Frame
from overlays.signal.levels import decoding, luma_scale
from overlays.signal.signal import Components

LEAST_SHARE = 0.0005
"""Share of the picture that must lie at a level or above for it to be the clip: a lamp, no glint
(1000 pixels of 1920x1080)."""

PILE_CODES = 8
"""Of 8 bits below the highest level within which a pile of clipped light lies: noise and codecs."""

GREY_SHARE = 0.03
"""Share of the scale within which R', G' and B' of a grey lie together (common practice, no source:
a balance that is off by some 200 K). Luma of a coloured card is not that of a grey."""


class What(Enum):
    """What the camera looks at."""

    CAP = "cap"
    CARD = "card"
    CLIP = "clip"
    WHITE = "white"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Tally:
    """How many samples of luma lie on each code.

    Attributes
    ----------
    first:
        The lowest code that has any.
    counts:
        Samples of it and of each code above it.
    independent:
        How many independent samples they are worth: neighbours share noise.
    """

    first: int
    counts: tuple[int, ...]
    independent: float


@dataclass(frozen=True, slots=True)
class CodeReading:
    """Luma of one thing, in codes of the signal.

    Attributes
    ----------
    code, code_pm:
        Mean luma and its 95 % half width.
    noise:
        Deviation of a sample.
    is_grey:
        Whether R', G' and B' lie together.
    tally:
        Its samples by code; None where they were not counted, or come from a lossy codec.
    noise_ends:
        Ends of the noise at 95 %; None where only its value was judged.
    channels:
        Deviation of a sample of R', G' and B', in codes of luma; None where it was not looked at.
    """

    code: float
    code_pm: float
    noise: float = 0.0
    is_grey: bool = True
    tally: Tally | None = None
    noise_ends: tuple[float, float] | None = None
    channels: tuple[float, float, float] | None = None


Readings = dict[What, CodeReading]
"""By what they are of; cap, card and clip are always there."""


def check_order(readings: Readings) -> None:
    """Refuse readings that do not rise from cap to card to clip, as they must whatever the feed.

    Parameters
    ----------
    readings:
        Cap, card and clip, as far as they were read, in codes of one signal.

    Raises
    ------
    ReadingsOrderError
        One is not brighter than what must be darker; the sentence says which.

    Examples
    --------
    >>> cap, card = CodeReading(64.0, 0.1), CodeReading(420.0, 0.1)
    >>> check_order({What.CAP: cap, What.CARD: card})
    >>> check_order({What.CAP: card, What.CARD: cap})
    Traceback (most recent call last):
        ...
    overlays.errors.ReadingsOrderError: the cap reads code 420.0 and the card...
    """
    known = [what for what in (What.CAP, What.CARD, What.CLIP) if what in readings]
    for dark, bright in pairwise(known):
        if readings[dark].code >= readings[bright].code:
            raise ReadingsOrderError(
                f"the {dark.value} reads code {readings[dark].code:.1f} and the {bright.value} "
                f"{readings[bright].code:.1f}: the {bright.value} must be brighter; were they "
                "swapped, or does the spot lie beside the card?"
            )


def reading_of_spot(spot: SpotReading, yard: Yardstick) -> CodeReading:
    """Luma of a spot in native codes.

    Parameters
    ----------
    spot, yard:
        A spot, and what it was read with: its codes are as they came, whatever that is.

    Returns
    -------
    CodeReading
        In codes of the signal.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> card = reading_of_spot(read_spot(grey_frame([[420]], 16), LOG, SpotPlace(8, 8, 8)), LOG)
    >>> round(card.code, 3), round(card.code_pm, 3), card.is_grey
    (420.0, 0.5, True)
    """
    scale = luma_scale(yard.signal)
    sizes = percent_sizes(yard)
    half = combine(sizes, sizes, spot.errors.planes, spot.errors.correlation)
    noise = np.sqrt(np.sum((sizes * np.array([p.noise for p in spot.errors.planes])) ** 2))
    nominal = decoding(yard.signal)
    levels = nominal.matrix @ (np.array(spot.code) - nominal.zero)
    return CodeReading(
        code=scale.zero + scale.span * spot.percent / 100.0,
        code_pm=scale.span * half / 100.0,
        noise=float(scale.span * noise / 100.0),
        is_grey=float(np.ptp(levels)) <= GREY_SHARE,
    )


def tally_of(frame: Frame, spot: SpotReading) -> Tally | None:
    """Luma of a spot, counted by code.

    Parameters
    ----------
    frame:
        Native codes, any layout.
    spot:
        What was read of it, and where.

    Returns
    -------
    Tally | None
        None where a lossy codec has been, or where R'G'B' is sent: luma is then of no codes.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420]], cell=16)
    >>> tally_of(frame, read_spot(frame, LOG, SpotPlace(8, 8, 8)))
    Tally(first=420, counts=(64,), independent=64.0)
    """
    if frame.signal.lossy or frame.signal.components is Components.RGB:
        return None
    rows, columns = (
        slice(max(span[0], 0), span[1]) for span in (spot.place.row_span, spot.place.column_span)
    )
    codes = frame.planes[0][rows, columns].astype(np.int64) >> frame.shift
    first, luma = int(codes.min()), spot.errors.planes[0]
    counts = np.bincount((codes - first).ravel())
    worth = (luma.noise / luma.standard) ** 2 if luma.standard > 0.0 else float(codes.size)
    return Tally(first, tuple(map(int, counts)), min(max(worth, 4.0), float(codes.size)))


def reading_of_clip(census: Census, yard: Yardstick) -> CodeReading:
    """The highest level that more than a glint of the picture reaches, wherever it is.

    Parameters
    ----------
    census:
        Of a frame that holds a lamp the camera cannot hold.
    yard:
        What it was counted with.

    Returns
    -------
    CodeReading
        In codes of the signal; its half width is that of the census's levels and of the noise that
        a pile of clipped light has after a codec.

    Examples
    --------
    >>> from overlays.measure.counting.census import take_census
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> lamp = reading_of_clip(take_census(grey_frame([[420, 1019]], cell=16), LOG), LOG)
    >>> lamp.code
    1019.0
    """
    counts = histogram(census)
    above = np.cumsum(counts[::-1])[::-1]
    level = int(np.flatnonzero(above >= max(LEAST_SHARE * census.pixels, 1.0))[-1])
    # The pile's own level: noise lifts its highest samples.
    low = max(level - PILE_CODES * (1 << census.bits) // 256, 0)
    peak = low + int(np.argmax(np.convolve(counts[low : level + 1], np.ones(3), "same")))
    near = np.arange(max(2 * peak - level, low), level + 1)
    mean = float(near @ counts[near]) / float(counts[near].sum())
    step = float(1 << (yard.signal.bits - census.bits))
    return CodeReading(step * (mean + 0.5) - 0.5, max(step, (1 << yard.signal.bits) / 256.0))
