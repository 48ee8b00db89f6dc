"""The range: brightest and darkest thing that matters, and what room is left to clip and floor."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.bands import CodeBand
from overlays.measure.counting.census import Census, histogram
from overlays.measure.counting.kernels import flatten
from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.range.flat_top import FlatTop, find_flat_top, flat_top_sentence
from overlays.measure.spot.area_kernels import sum_tiles, window_orders
from overlays.measure.spot.spot import SpotPlace, SpotReading, read_spot
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

FloatArray = npt.NDArray[np.float64]

SPECK_PERCENT = 0.02
"""Share of the picture below which a thing is a speck that does not matter: 20x20 of 1080p."""

_ACROSS = 4
"""Tiles along the edge of a window; a thing must fill three quarters of its tiles."""

_MANY_WINDOWS = 20_000
"""From so many windows on only every other row and column of them is looked at."""


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
        they cannot be known (a warning says why). Headroom is 0 where the brightest is clipped.
    clipped_rgb:
        Shares of the picture's pixels at or above the clip in R', G', B'.
    in_band:
        Share of the picture inside the band asked for, or None.
    warnings:
        Plain sentences.
    flat_top:
        Where the picture is flat below the profile's clip: the camera may clip there.
    """

    brightest: Thing
    darkest: Thing
    headroom_stops: float | None
    footroom_stops: float | None
    clipped_rgb: tuple[float, float, float]
    in_band: float | None
    warnings: tuple[str, ...]
    flat_top: FlatTop | None = None


def _tiling(frame: Frame, speck_percent: float) -> tuple[int, int]:
    """(tile edge in pixels, tiles along the edge of the smallest window that matters)."""
    area = speck_percent / 100.0 * frame.rows * frame.columns
    edge = min(max(2, round(math.sqrt(area))), frame.rows, frame.columns)
    across = min(_ACROSS, edge)
    return min(-(-edge // across), min(frame.rows, frame.columns) // across), across


def _tiles(frame: Frame, yard: Yardstick, tile: int) -> FloatArray:
    """Sum of luma over every tile, in stored samples; orders neutral things as their light does."""
    rgb = yard.signal.components is Components.RGB
    weights = yard.weights if rgb else np.ones(1)
    total = np.zeros((frame.rows // tile, frame.columns // tile))
    for weight, plane in zip(weights, frame.planes, strict=False):
        part = np.zeros_like(total)
        sum_tiles(flatten(plane), frame.rows, frame.columns, tile, part)
        total += weight * part
    return total


def _extremes(tiles: FloatArray, across: int, code: int) -> tuple[int, int]:
    """Indices of the brightest and the darkest window; `code` is one code summed over a tile.

    A window is as bright as its tile a quarter from below, so that a speck cannot make it. Among
    those within a code of the brightest the fullest is taken: it holds the thing and nothing else.
    """
    rows, columns = tiles.shape[0] - across + 1, tiles.shape[1] - across + 1
    step = 1 if rows * columns < _MANY_WINDOWS else 2
    orders = np.empty((4, -(-rows // step), -(-columns // step)))
    window_orders(tiles, (across, across * across // 4, step), orders)
    least, low, high, greatest = orders
    bright = np.where(low >= low.max() - code, least, -np.inf)
    dark = np.where(high <= high.min() + code, greatest, np.inf)

    def first_tile(index: int) -> int:
        row, column = divmod(index, orders.shape[2])
        return int(row * step * columns + column * step)

    return first_tile(int(bright.argmax())), first_tile(int(dark.argmin()))


def _thing(
    frame: Frame, yard: Yardstick, window: tuple[int, int], index: int
) -> tuple[Thing, SpotReading]:
    tile, across = window
    row, column = divmod(index, frame.columns // tile - across + 1)
    edge = tile * across
    place = SpotPlace(column * tile + edge // 2, row * tile + edge // 2, edge)
    spot = read_spot(frame, yard, place)
    return Thing(place.column, place.row, place.size, spot.stops, spot.percent), spot


def read_range(
    frame: Frame,
    yard: Yardstick,
    census: Census,
    speck_percent: float = SPECK_PERCENT,
    band: CodeBand | None = None,
) -> RangeReading:
    """Find the extremes of a frame and the room left around them.

    Parameters
    ----------
    frame, yard:
        The frame and what it is measured with.
    census:
        Of this frame, with `Wants.LEVELS | Wants.CLIPPING`, better `Wants.RGB` too.
    speck_percent:
        Share of the picture's area that a thing must have to matter.
    band:
        Counts the share of the picture whose luma lies in it.
    """
    tile, across = _tiling(frame, speck_percent)
    bright_at, dark_at = _extremes(_tiles(frame, yard, tile), across, tile * tile << frame.shift)
    bright, bright_spot = _thing(frame, yard, (tile, across), bright_at)
    dark, _ = _thing(frame, yard, (tile, across), dark_at)
    warnings: list[str] = []
    headroom = _headroom(bright, bright_spot, yard, warnings)
    footroom = _footroom(dark, yard, warnings)
    flat_top = find_flat_top(census, yard)
    if flat_top is not None:
        warnings.append(flat_top_sentence(flat_top, yard))
    counted = np.zeros(3) if census.clipped is None else census.clipped / census.pixels
    return RangeReading(
        brightest=bright,
        darkest=dark,
        headroom_stops=headroom,
        footroom_stops=footroom,
        clipped_rgb=(float(counted[0]), float(counted[1]), float(counted[2])),
        in_band=None if band is None else share_in_band(census, band, yard),
        warnings=tuple(warnings),
        flat_top=flat_top,
    )


def _headroom(
    thing: Thing, spot: SpotReading, yard: Yardstick, warnings: list[str]
) -> float | None:
    if spot.clipped >= 0.5:
        warnings.append("the brightest thing is clipped: there is no headroom left")
        return 0.0
    if thing.stops is None or not math.isfinite(yard.clip_stops):
        warnings.append("headroom unknown: the picture has no light above black")
        return None
    return yard.clip_stops - thing.stops


def _footroom(thing: Thing, yard: Yardstick, warnings: list[str]) -> float | None:
    if thing.stops is None:
        warnings.append("footroom unknown: the darkest thing has no light above black")
        return None
    if not math.isfinite(yard.floor_stops):
        warnings.append("footroom unknown: the profile's floor lies at or below no light")
        return None
    return thing.stops - yard.floor_stops


def share_in_band(census: Census, band: CodeBand, yard: Yardstick) -> float:
    """Share of the picture's pixels whose luma code lies in a band (to the census's depth)."""
    down = yard.signal.bits - census.bits
    counts = histogram(census)
    inside = counts[band.low >> down : (band.high >> down) + 1].sum()
    return float(inside) / census.pixels
