"""Pins: spots that stay. Differences as lighting ratios, and how even a surface is lit."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.pins.area_cells import USUAL_CELLS, cell_at, grid_of, middle_of_cell
from overlays.measure.pins.pins_doubt import (
    cell_doubt,
    difference_pm,
    key_over_fill,
    spread_pm,
    within_pm,
)
from overlays.measure.spot.spot import SpotPlace, SpotReading, check_place, read_spot
from overlays.signal.frame import Frame
from overlays.wording.reasons import Bound, Reason, bound_of_difference

FloatArray = npt.NDArray[np.float64]

MOST_PINS = 8
"""More could not be told apart on a small screen."""
ALIKE_STOPS = 0.005
"""Up to which two pins read alike: half of the last decimal that is shown."""


@dataclass(frozen=True, slots=True)
class Ratio:
    """How much more light one pin has than another.

    Attributes
    ----------
    stops, pm:
        Of the first over the second, with its 95 % half width (None where one pin's has none).
    ratio:
        2**stops: 2.0 is a lighting ratio of 2:1.
    key_over_fill_stops:
        Where the first is lit by key and fill together and the second by fill alone: how far the
        key alone is above the fill; None where the ± leaves that open by more than half a stop.
    bound:
        Whether all of them are no more than a bound, since a pin is clipped or cut off.

    Examples
    --------
    >>> key = Ratio(stops=2.0, pm=0.02)
    >>> key.spoken, round(key.key_over_fill_stops, 2)  # key and fill 4:1, so the key alone 3:1
    ('4:1', 1.58)
    """

    stops: float
    pm: float | None
    bound: Bound | None = None

    @property
    def ratio(self) -> float:
        """The same as a factor."""
        return float(2.0**self.stops)

    @property
    def key_over_fill_stops(self) -> float | None:
        """log2(ratio - 1), or None: of two that are alike it would be any number."""
        if self.stops <= ALIKE_STOPS:
            return None
        return key_over_fill(self.stops, self.pm, is_bound=self.bound is not None)

    @property
    def spoken(self) -> str:
        """As crews say it, the larger side first or last as it is: "4:1", "1:2.8"."""
        said = "" if self.bound is None else f"{self.bound.value} "
        if self.stops >= 0.0:
            return f"{said}{_short(self.ratio)}:1"
        return f"{said}1:{_short(1.0 / self.ratio)}"


def _short(ratio: float) -> str:
    return f"{ratio:.0f}" if ratio >= 20.0 else f"{ratio:.2g}"


def ratio_of(first: SpotReading, second: SpotReading) -> Ratio | None:
    """The difference of two pins; None where `why_no_ratio` says why.

    Their errors are independent of each other; `difference_pm` says how they add.

    Parameters
    ----------
    first:
        Of the one pin.
    second:
        Of the other.

    Returns
    -------
    Ratio | None
        Positive stops where the first has more light.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[496, 420]], cell=16)
    >>> lit, shade = (read_spot(frame, LOG, SpotPlace(column, 8, 8)) for column in (8, 24))
    >>> ratio_of(lit, shade).spoken
    '2:1'
    """
    bound = bound_of_difference(first.bound, second.bound)
    if first.stops is None or second.stops is None or isinstance(bound, Reason):
        return None
    return Ratio(first.stops - second.stops, difference_pm(first, second), bound)


def why_no_ratio(first: SpotReading, second: SpotReading) -> Reason:
    """Why two pins have no difference.

    Parameters
    ----------
    first, second:
        Of two pins that `ratio_of` gives None for.

    Returns
    -------
    Reason
        That one has no light, or else that both are no more than bounds.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 60]], cell=16)
    >>> grey, black = (read_spot(frame, LOG, SpotPlace(column, 8, 8)) for column in (8, 24))
    >>> why_no_ratio(grey, black).name
    'NO_LIGHT'
    """
    dark = first.stops is None or second.stops is None
    return Reason.NO_LIGHT if dark else Reason.BOTH_BOUNDS


def all_ratios(pins: Mapping[int, SpotReading]) -> dict[tuple[int, int], Ratio | None]:
    """The difference of every pair of pins, by their numbers, lower number first.

    Parameters
    ----------
    pins:
        Readings by number.

    Returns
    -------
    dict
        Stops and factors by (lower number, higher number); None where they cannot be told.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[496, 420, 420]], cell=16)
    >>> pins = {n: read_spot(frame, LOG, SpotPlace(16 * n - 8, 8, 8)) for n in (1, 2, 3)}
    >>> {pair: ratio.spoken for pair, ratio in all_ratios(pins).items()}
    {(1, 2): '2:1', (1, 3): '2:1', (2, 3): '1:1'}
    """
    numbers = sorted(pins)
    return {
        (one, other): ratio_of(pins[one], pins[other])
        for place, one in enumerate(numbers)
        for other in numbers[place + 1 :]
    }


@dataclass(frozen=True, slots=True)
class Evenness:
    """How evenly a rectangle of the picture is lit.

    Attributes
    ----------
    map_stops:
        (rows, columns) float64: each cell against the mean light of all; nan where a cell has no
        light above black.
    within_stops, within_pm:
        How far the cell that is furthest off is from the mean, and its 95 % half width; None where
        a cell has no light, the half width alone where one is clipped.
    spread_stops, spread_pm:
        The same from the darkest cell to the brightest.
    brightest, darkest:
        (row, column) of those cells.
    place:
        The rectangle, as a spot.
    warnings:
        Plain sentences.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 420], [420, 496]], cell=16)
    >>> lit = read_evenness(frame, LOG, SpotPlace(16, 16, 32), cells=2)
    >>> lit.furthest, lit.cell(1, 1).column_span
    ((1, 1), (16, 32))
    """

    map_stops: FloatArray
    within_stops: float | None
    within_pm: float | None
    spread_stops: float | None
    spread_pm: float | None
    brightest: tuple[int, int]
    darkest: tuple[int, int]
    place: SpotPlace
    warnings: tuple[str, ...]

    @property
    def furthest(self) -> tuple[int, int]:
        """(row, column) of the cell that is furthest off the mean, of the two outermost."""
        dark, bright = self.map_stops[self.darkest], self.map_stops[self.brightest]
        return self.brightest if bright >= -dark else self.darkest

    def cell(self, row: int, column: int) -> SpotPlace:
        """Where a cell lies in the picture.

        Parameters
        ----------
        row:
            From 0 at the top.
        column:
            From 0 at the left.

        Returns
        -------
        SpotPlace
            In pixels.
        """
        return cell_at(self.place, (row, column), self.map_stops.shape)


def read_evenness(
    frame: Frame,
    yard: Yardstick,
    place: SpotPlace,
    cells: int = USUAL_CELLS,
    most: int | None = None,
) -> Evenness:
    """Map the light of a rectangle that should be even: a background or a green screen.

    Parameters
    ----------
    frame, yard:
        As for `read_spot`.
    place:
        The rectangle; `size` is its width, `height` its height.
    cells:
        Along its longer side; fewer where cells would be smaller than 4x4 pixels.
    most:
        Pixels each way that are read in the middle of each cell; None reads all of it.

    Returns
    -------
    Evenness
        With None and a warning where part of the rectangle cannot be read.

    Raises
    ------
    SpotOutsideError
        The rectangle sticks out of the picture, or is too small to be divided.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[420, 496]], cell=16)
    >>> lit = read_evenness(frame, LOG, SpotPlace(16, 8, 32, 16), cells=2)
    >>> lit.map_stops.round(2).tolist()  # 1 and 2 parts of light about their mean of 1.5
    [[-0.59, 0.42]]
    """
    check_place(place, frame.rows, frame.columns)
    down, across = grid_of(place, cells)
    light = np.empty((down, across))
    doubt = np.empty((2, down, across))
    clipped = doubted = False
    for row in range(down):
        for column in range(across):
            cell = cell_at(place, (row, column), (down, across))
            spot = read_spot(frame, yard, middle_of_cell(cell, most))
            light[row, column] = spot.luminance
            doubt[:, row, column] = cell_doubt(spot, yard.weights)
            clipped = clipped or spot.hides_light
            doubted = doubted or spot.unknown is Reason.PERHAPS_CLIPPED
    hidden = ["part of the area is clipped: it is less even than it reads"] if clipped else []
    if doubted:
        hidden.append("part of the area may be clipped: it may be less even than it reads")
    return _evenness(light, doubt, place, hidden)


def _evenness(
    light: FloatArray, doubt: FloatArray, place: SpotPlace, hidden: list[str]
) -> Evenness:
    """Of cells' light and doubt; `hidden` says what clipping hides of them, or may hide."""
    with np.errstate(divide="ignore", invalid="ignore"):
        stops = np.where(light > 0.0, np.log2(light / light.mean()), np.nan)
    bright = np.unravel_index(int(light.argmax()), light.shape)
    dark = np.unravel_index(int(light.argmin()), light.shape)
    warnings = list(hidden)
    within: tuple[float | None, float | None] = (None, None)
    spread = within
    known = bool(np.isfinite(doubt).all())
    if light.min() > 0.0 and (known or hidden):
        two = int(light.argmax()), int(light.argmin())
        outer = two[0] if stops[bright] >= -stops[dark] else two[1]
        noise, bounds = doubt.reshape(2, -1)
        pm = within_pm(noise, bounds, light.ravel(), outer) if known else None
        within = (abs(float(stops.flat[outer])), pm)
        pm = spread_pm(noise, bounds, two) if known else None
        spread = (float(stops[bright] - stops[dark]), pm)
    else:
        warnings.append("part of the area has no light above black: how even it is cannot be said")
    return Evenness(
        map_stops=stops,
        within_stops=within[0],
        within_pm=within[1],
        spread_stops=spread[0],
        spread_pm=spread[1],
        brightest=(int(bright[0]), int(bright[1])),
        darkest=(int(dark[0]), int(dark[1])),
        place=place,
        warnings=tuple(warnings),
    )
