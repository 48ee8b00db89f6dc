"""How full each tile is: the channel nearest to its clip, in stops; and what room that leaves."""

import math

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.census import Census
from overlays.measure.counting.clip import Three
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.area_counts import fullest
from overlays.measure.range.area_pixels import nominal_pixels
from overlays.measure.range.things import LOWEST_STOPS, MOST_STOPS, highest_window, reached
from overlays.measure.range.tile_areas import LEVELS, Areas, code_step
from overlays.measure.spot.spot import SpotPlace, SpotReading
from overlays.signal.curves import linear_to_stops
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Signal

FloatArray = npt.NDArray[np.float64]

ON_CEILING = 0.25
"""Share of a thing's pixels at the clip from which on it is clipped. Noise that comes after a
ceiling leaves half of them beneath it, and the margin for rounding catches most of those."""
MOST_CANDIDATES = 64
"""Tiles among which a small lamp is looked for."""


def stops_to_clip(areas: Areas, yard: Yardstick) -> FloatArray:
    """How far each level of R', G', B' lies below its clip.

    Parameters
    ----------
    areas:
        Give the scale of the levels.
    yard:
        Gives clip and curve.

    Returns
    -------
    ndarray
        (3, `LEVELS`) float64 stops, `LOWEST_STOPS` to 0; 0 at the clip and above. Where the camera
        may clip, what chroma overshoots by at the edge of the pile is no brighter thing than it.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> left = stops_to_clip(look_at(grey_frame([[420]], cell=8), LOG), LOG)
    >>> left[0, [420, 496, 1023]].round(1).tolist()  # a stop of light is a stop of room
    [-7.7, -6.7, 0.0]
    """
    percents: FloatArray = (
        (np.arange(LEVELS, dtype=np.float64) - areas.scale.zero) / areas.scale.span * 100.0
    )
    light = linear_to_stops(yard.carried.light(percents / 100.0))
    out = np.empty((3, LEVELS))
    for channel, (clip, limit) in enumerate(zip(yard.clip_percents, yard.clip_limits, strict=True)):
        left = light - yard.carried.percent_to_stops(clip)
        left = np.where(np.isfinite(left), np.clip(left, LOWEST_STOPS, 0.0), LOWEST_STOPS)
        doubt, least = yard.doubts[channel], yard.doubt_limits[channel]
        if doubt is not None and least is not None:
            on_it = yard.carried.percent_to_stops(doubt) - yard.carried.percent_to_stops(clip)
            left = np.where((percents >= least) & (left <= on_it + MOST_STOPS), on_it, left)
        out[channel] = np.where(percents >= 100.0 * limit, 0.0, left)
    return out


def fullest_place(
    frame: Frame, yard: Yardstick, areas: Areas, by_level: FloatArray, speck: float
) -> SpotPlace:
    """The spot that shows the fullest thing of a frame best.

    Parameters
    ----------
    frame, yard:
        Native codes, and what they are measured with.
    areas:
        The frame's.
    by_level:
        (3, levels) float64, from `stops_to_clip`.
    speck:
        Pixels from which on a thing matters.

    Returns
    -------
    SpotPlace
        Inside the picture.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496]], cell=16)
    >>> areas = look_at(frame, LOG)
    >>> place = fullest_place(frame, LOG, areas, stops_to_clip(areas, LOG), speck=16.0)
    >>> place.column >= 16  # in the brighter half
    True
    """
    full = np.empty(areas.luma.shape, np.float32)
    fullest(areas.tiles, by_level, full)
    if areas.edge > 1:  # single pixels are no evidence
        peaks = np.empty(areas.luma.shape, np.float32)
        fullest(areas.peaks, by_level, peaks)
        small = reached(peaks, speck / areas.edge**2)
        if small > reached(full, speck / areas.tile**2) + MOST_STOPS:
            return _small_place(frame, yard, areas, small)
    step = _step_stops(areas, yard)
    row, column, edge = highest_window(full, areas.tile**2, speck, (step, MOST_STOPS))
    return place_of(areas, row, column, edge)


def place_of(areas: Areas, row: int, column: int, edge: int) -> SpotPlace:
    """The spot that covers a window of tiles.

    Parameters
    ----------
    areas:
        The frame's.
    row, column:
        The window's first tile.
    edge:
        How many tiles it has each way.

    Returns
    -------
    SpotPlace
        Those tiles' pixels and no others.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.range.tile_areas import look_at
    >>> from overlays.signal.example_frames import grey_frame
    >>> areas = look_at(grey_frame([[420, 496]], cell=16), LOG)
    >>> areas.tile, place_of(areas, row=1, column=2, edge=2).column_span
    (2, (4, 8))
    """
    size = edge * areas.tile
    return SpotPlace(column * areas.tile + size // 2, row * areas.tile + size // 2, size)


def _step_stops(areas: Areas, yard: Yardstick) -> float:
    """One code of the feed in stops, near the clip."""
    clip = yard.clip_percent
    beneath = areas.percent(areas.level(clip) - code_step(yard.signal))
    return yard.carried.percent_to_stops(clip) - yard.carried.percent_to_stops(beneath)


def _small_place(frame: Frame, yard: Yardstick, areas: Areas, level: float) -> SpotPlace:
    """A block that is as full as small things are, which fill no tile."""
    clips = np.array([yard.carried.percent_to_stops(c) for c in yard.clip_percents])
    best, found = np.inf, place_of(areas, 0, 0, 1)
    peaks = areas.peaks.max(axis=0)
    for tile in np.argsort(peaks, axis=None)[::-1][:MOST_CANDIDATES]:
        row, column = divmod(int(tile), peaks.shape[1])
        for r, c in ((0, 0), (0, 1), (1, 0), (1, 1)):
            left, upper = column * areas.tile + c * areas.edge, row * areas.tile + r * areas.edge
            place = SpotPlace(left + areas.edge // 2, upper + areas.edge // 2, areas.edge)
            light = yard.carried.light(nominal_pixels(frame, yard, place).min(axis=0))
            off = abs(float((linear_to_stops(light) - clips).max()) - level)
            if off < best:
                best, found = off, place
    return found


def clipped_channels(spot: SpotReading) -> str:
    """The channels in which a thing is clipped, going by the spot that shows it.

    Parameters
    ----------
    spot:
        On the thing.

    Returns
    -------
    str
        Such as "RB"; empty where there is none.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.measure.spot.spot import read_spot
    >>> from overlays.signal.example_frames import colour_frame
    >>> lamp = read_spot(colour_frame([[(110, 60, 40)]], cell=16), VIDEO, SpotPlace(8, 8, 8))
    >>> clipped_channels(lamp)
    'R'
    """
    shares = zip("RGB", spot.clipped_rgb, strict=True)
    return "".join(name for name, share in shares if share >= ON_CEILING)


def room_by_channel(
    spot: SpotReading, yard: Yardstick
) -> tuple[float | None, float | None, float | None]:
    """Stops from a spot's R, G and B up to their clips; None for a channel without light.

    One that is clipped has none left, though noise leaves its mean beneath.

    Parameters
    ----------
    spot:
        On the thing.
    yard:
        Gives the clips.

    Returns
    -------
    tuple[float | None, float | None, float | None]
        Stops, 0 or more.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> card = read_spot(grey_frame([[420]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> [round(room, 1) for room in room_by_channel(card, LOG)]
    [7.7, 7.7, 7.7]
    """
    clipped = clipped_channels(spot)
    red, green, blue = (
        0.0
        if name in clipped
        else None
        if stops is None
        else max(yard.carried.percent_to_stops(clip) - stops, 0.0)
        for name, stops, clip in zip("RGB", spot.rgb_stops, yard.clip_percents, strict=True)
    )
    return red, green, blue


def shares_clipped(census: Census, areas: Areas | None, yard: Yardstick) -> Three:
    """Shares of the picture at the clip.

    Parameters
    ----------
    census:
        With `Wants.CLIPPING`; where ceilings are known, with `Wants.RGB`, or the tiles stand in.
    areas:
        The picture in tiles; None where they are not at hand.
    yard:
        With the ceilings.

    Returns
    -------
    tuple of float
        Of R', G' and B', 0 to 1; at a ceiling that was found, by levels or by tiles.

    Examples
    --------
    >>> from overlays.measure.counting.census import Wants, take_census
    >>> from overlays.measure.counting.example_yards import VIDEO
    >>> from overlays.signal.example_frames import grey_frame
    >>> counted = take_census(grey_frame([[64, 1019]]), VIDEO, Wants.CLIPPING)
    >>> shares_clipped(counted, None, VIDEO)
    (0.5, 0.5, 0.5)
    """
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
        elif areas is None:
            continue
        else:
            counts, whole = areas.tiles[channel] >= areas.level(limit), areas.luma.size
        shares[channel] = max(shares[channel], float(counts.sum(dtype=np.int64)) / whole)
    return shares[0], shares[1], shares[2]


def least_room(
    rooms: tuple[float | None, float | None, float | None],
    clipped: str,
    suspect: str,
    warnings: list[str],
) -> tuple[float | None, str]:
    """The room of the channel that has least of it, and which one that is.

    Parameters
    ----------
    rooms:
        Stops of R, G and B from the brightest thing to their clips.
    clipped, suspect:
        Channels in which it is clipped, or is thought to be, of "RGB".
    warnings:
        Why it is 0 or unknown is added here.

    Returns
    -------
    tuple
        Stops and the channel's letter; None where the room cannot be known.

    Examples
    --------
    >>> least_room((2.0, 1.5, 3.0), clipped="", suspect="", warnings=[])
    (1.5, 'G')
    """
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
