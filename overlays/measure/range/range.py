"""The range: brightest and darkest thing that matters, and what room is left to clip and floor.

The brightest thing is the one whose fullest channel is nearest to its clip: a red lamp gives out in
R long before its luma does.
"""

import math
from dataclasses import dataclass

import numpy as np

from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census, histogram
from overlays.measure.counting.clip import NOWHERE, FlatTop, Levels, Three
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.areas import Areas, code_step, look_at
from overlays.measure.range.flat_top import (
    ceilings_of,
    doubt_sentence,
    flat_top_sentence,
    joined,
)
from overlays.measure.range.headroom import (
    clipped_channels,
    fullest_place,
    place_of,
    room_by_channel,
    stops_to_clip,
)
from overlays.measure.range.things import highest_window, reached, speck_pixels
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Signal

SPECK_PERCENT = 0.02
"""Share of the picture below which a thing is a speck that does not matter: 20x20 of 1080p."""

DARK_LEVELS = 24.0
"""Most by which tiles of the darkest thing differ, in 10-bit codes: a third of a stop on most
curves, where noise is widest."""


@dataclass(frozen=True, slots=True)
class Thing:
    """The brightest or darkest thing that matters: a window on it, and what it reads.

    `stops` is None where the thing has no light above black.
    """

    column: int
    row: int
    size: int
    stops: float | None
    percent: float


@dataclass(frozen=True, slots=True)
class RangeReading:
    """How the picture lies between clip and floor.

    Attributes
    ----------
    brightest, darkest:
        The extremes, specks ignored.
    headroom_stops, footroom_stops:
        Stops from the brightest up to the clip and from the darkest down to the floor; None where
        they cannot be known (a warning says why). Headroom is that of the fullest channel, and 0
        where any channel of the brightest is clipped; None where
        one is `suspect`.
    clipped_rgb:
        Shares of the picture's pixels at or above the clip in R', G', B', ceilings that were found
        counted as the clip.
    in_band:
        Share of the picture inside the band asked for, or None.
    warnings:
        Plain sentences.
    flat_top:
        The camera's ceilings below the profile's clip, as they were found; they are the clip.
    doubts:
        Levels at which the camera may clip, for all that this one picture tells.
    suspect:
        Channels ("RB") in which the brightest thing is as even there as few things are.
    flat_top_here:
        Those that this frame itself shows; for `CeilingMemory`.
    fullest:
        The channel ("R", "G" or "B") whose headroom is told; empty where it is not known.
    clipped_channels:
        The channels ("RB") in which the brightest thing is clipped.
    headroom_rgb:
        Stops from the brightest thing's R, G, B up to their clips; None for one without light.
    clip_percents:
        The clip of R', G', B' that all this goes by.
    peaks_percent:
        Levels that things (no specks) reach in R', G', B', in percent; for `CeilingMemory`.
    """

    brightest: Thing
    darkest: Thing
    headroom_stops: float | None
    footroom_stops: float | None
    clipped_rgb: tuple[float, float, float]
    in_band: float | None
    warnings: tuple[str, ...]
    flat_top: FlatTop | None = None
    doubts: Levels = NOWHERE
    suspect: str = ""
    flat_top_here: FlatTop | None = None
    fullest: str = ""
    clipped_channels: str = ""
    headroom_rgb: tuple[float | None, float | None, float | None] = (None, None, None)
    clip_percents: Three = (100.0, 100.0, 100.0)
    peaks_percent: Three = (0.0, 0.0, 0.0)


def read_range(
    frame: Frame,
    yard: Yardstick,
    census: Census,
    speck_percent: float = SPECK_PERCENT,
    band: CodeBand | None = None,
    known: FlatTop | RangeReading | None = None,
) -> RangeReading:
    """Find the extremes of a frame and the room left around them.

    Parameters
    ----------
    frame, yard:
        The frame and what it is measured with, with or without ceilings.
    census:
        Of this frame, with `Wants.LEVELS | Wants.CLIPPING`, better `Wants.RGB` too.
    speck_percent:
        Share of the picture's area that a thing must have to matter.
    band:
        Counts the share of the picture whose luma lies in it.
    known:
        Ceilings found in earlier frames (`CeilingMemory.known`); those of this frame come first.
        Or the range of a frame a moment ago: its ceilings and doubts are taken over, none is looked
        for, which saves most of the time.

    Returns
    -------
    RangeReading
        Its `flat_top` is what later frames are to be given as `known`.
    """
    areas = look_at(frame, yard)
    speck = speck_pixels(areas.pixels, speck_percent)
    if isinstance(known, RangeReading):
        here, doubts, suspect = known.flat_top_here, known.doubts, known.suspect
        top = known.flat_top
    else:
        here, doubts, suspect = ceilings_of(areas, yard, known)
        top = joined(here, known)
    yard = yard.under(top, doubts)
    bright, bright_spot = _thing(
        frame, yard, fullest_place(frame, yard, areas, stops_to_clip(areas, yard), speck)
    )
    step = code_step(yard.signal)
    low = highest_window(-areas.luma, areas.tile**2, speck, (step, DARK_LEVELS))
    dark, _ = _thing(frame, yard, place_of(areas, *low))
    warnings: list[str] = []
    clipped = clipped_channels(bright_spot)
    rooms = room_by_channel(bright_spot, yard)
    may_clip = bright_spot.may_clip
    suspect = "".join(name for name in may_clip if name in suspect)
    headroom, fullest = _headroom(rooms, clipped, suspect, warnings)
    if may_clip and not clipped:
        unknown = "headroom unknown: " if headroom is None else ""
        warnings.append(unknown + doubt_sentence(doubts, yard))
    footroom = _footroom(dark, yard, warnings)
    if top is not None:
        warnings.append(flat_top_sentence(top, yard))
    return RangeReading(
        brightest=bright,
        darkest=dark,
        headroom_stops=headroom,
        footroom_stops=footroom,
        clipped_rgb=_shares_clipped(census, areas, yard),
        in_band=None if band is None else share_in_band(census, band, yard),
        warnings=tuple(warnings),
        flat_top=top,
        doubts=doubts,
        suspect=suspect,
        flat_top_here=here,
        fullest=fullest,
        clipped_channels=clipped,
        headroom_rgb=rooms,
        clip_percents=yard.clip_percents,
        peaks_percent=_peaks(areas, speck),
    )


def _thing(frame: Frame, yard: Yardstick, place: SpotPlace) -> tuple[Thing, SpotReading]:
    spot = read_spot(frame, yard, place)
    return Thing(place.column, place.row, place.size, spot.stops, spot.percent), spot


def _peaks(areas: Areas, speck: float) -> Three:
    red, green, blue = (
        areas.percent(reached(tiles, speck / areas.tile**2)) for tiles in areas.tiles
    )
    return red, green, blue


def _shares_clipped(census: Census, areas: Areas, yard: Yardstick) -> Three:
    """Pixels at the clip by the census; at a ceiling that was found, by levels or by tiles."""
    top = yard.flat_top
    counted = np.zeros(3) if census.clipped is None else census.clipped / census.pixels
    shares = [float(share) for share in counted]
    for channel, percent in enumerate((None, None, None) if top is None else top.percents):
        if top is None or percent is None:
            continue
        limit = percent - top.margin(channel, yard.signal)
        if census.rgb is not None:
            eight = luma_scale(Signal(bits=8, range=yard.signal.range))
            level = math.ceil(eight.zero + eight.span * limit / 100.0 - 0.5)
            counts, whole = census.rgb[channel, :, max(level, 0) :], census.pixels
        else:
            counts, whole = areas.tiles[channel] >= areas.level(limit), areas.luma.size
        shares[channel] = max(shares[channel], float(counts.sum(dtype=np.int64)) / whole)
    return shares[0], shares[1], shares[2]


def _headroom(
    rooms: tuple[float | None, float | None, float | None],
    clipped: str,
    suspect: str,
    warnings: list[str],
) -> tuple[float | None, str]:
    if clipped:
        warnings.append(f"the brightest thing is clipped ({clipped}): there is no headroom left")
        return 0.0, clipped[0]
    if suspect:
        return None, suspect[0]
    known = [
        (room, name)
        for room, name in zip(rooms, "RGB", strict=True)
        if room is not None and math.isfinite(room)
    ]
    if not known:
        warnings.append("headroom unknown: the picture has no light above black")
        return None, ""
    return min(known)


def _footroom(thing: Thing, yard: Yardstick, warnings: list[str]) -> float | None:
    if thing.stops is None:
        warnings.append("footroom unknown: the darkest thing has no light above black")
        return None
    if not math.isfinite(yard.floor_stops):
        warnings.append("footroom unknown: the profile's floor lies at or below no light")
        return None
    return thing.stops - yard.floor_stops


def share_in_band(census: Census, band: CodeBand, yard: Yardstick) -> float:
    """Share of the picture's pixels whose luma code lies in a band (to the census's depth).

    Parameters
    ----------
    census:
        With `Wants.LEVELS`.
    band:
        Codes of the feed.
    yard:
        Gives the feed's depth.

    Returns
    -------
    float
        Share, 0 to 1.
    """
    down = yard.signal.bits - census.bits
    counts = histogram(census)
    inside = counts[band.low >> down : (band.high >> down) + 1].sum()
    return float(inside) / census.pixels
