"""The range: brightest and darkest thing that matters, and what room is left to clip and floor."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.bands import CodeBand
from overlays.measure.census import Census, histogram
from overlays.measure.kernels import flatten, sum_tiles
from overlays.measure.spot import SpotPlace, SpotReading, read_spot
from overlays.measure.yardstick import Yardstick
from overlays.signal.frame import Frame
from overlays.signal.signal import Components

FloatArray = npt.NDArray[np.float64]

SPECK_PERCENT = 0.02
"""Share of the picture below which a thing is a speck that does not matter: 20x20 of 1080p."""


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
    """

    brightest: Thing
    darkest: Thing
    headroom_stops: float | None
    footroom_stops: float | None
    clipped_rgb: tuple[float, float, float]
    in_band: float | None
    warnings: tuple[str, ...]


def _tile_edge(frame: Frame, speck_percent: float) -> int:
    """Half the edge of the smallest square that matters, at least one pixel."""
    area = speck_percent / 100.0 * frame.rows * frame.columns
    widest = min(frame.rows, frame.columns) // 2
    return max(1, min(round(math.sqrt(area) / 2.0), widest))


def _windows(frame: Frame, yard: Yardstick, tile: int) -> tuple[FloatArray, FloatArray]:
    """Least and greatest tile of every 2 x 2 tiles: a thing must fill all four to count.

    In luma of stored samples, which orders neutral things as their light does.
    """
    rows, columns = frame.rows // tile, frame.columns // tile
    tiles = np.zeros((rows, columns))
    planes = frame.planes if yard.signal.components is Components.RGB else frame.planes[:1]
    weights = yard.weights if yard.signal.components is Components.RGB else (1.0,)
    for weight, plane in zip(weights, planes, strict=True):
        part = np.zeros((rows, columns))
        sum_tiles(flatten(plane), frame.rows, frame.columns, tile, part)
        tiles += weight * part
    quads = np.stack((tiles[:-1, :-1], tiles[:-1, 1:], tiles[1:, :-1], tiles[1:, 1:]))
    return quads.min(axis=0), quads.max(axis=0)


def _thing(
    frame: Frame, yard: Yardstick, tile: int, index: int, columns: int
) -> tuple[Thing, SpotReading]:
    row, column = divmod(index, columns)
    place = SpotPlace((column + 1) * tile, (row + 1) * tile, 2 * tile)
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
        Of this frame, with `Wants.LEVELS | Wants.CLIPPING`.
    speck_percent:
        Share of the picture's area that a thing must have to matter.
    band:
        Counts the share of the picture whose luma lies in it.
    """
    tile = _tile_edge(frame, speck_percent)
    least, greatest = _windows(frame, yard, tile)
    bright, bright_spot = _thing(frame, yard, tile, int(least.argmax()), least.shape[1])
    dark, _ = _thing(frame, yard, tile, int(greatest.argmin()), greatest.shape[1])
    warnings: list[str] = []
    headroom = _headroom(bright, bright_spot, yard, warnings)
    footroom = _footroom(dark, yard, warnings)
    counted = np.zeros(3) if census.clipped is None else census.clipped / census.pixels
    return RangeReading(
        brightest=bright,
        darkest=dark,
        headroom_stops=headroom,
        footroom_stops=footroom,
        clipped_rgb=(float(counted[0]), float(counted[1]), float(counted[2])),
        in_band=None if band is None else share_in_band(census, band, yard),
        warnings=tuple(warnings),
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
