"""Which way round a chart is held, told from its own colours."""

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np

from overlays.errors import ChartNotFoundError, ChartTurnedError
from overlays.measure.chart.place import Corners
from overlays.measure.chart.reference import ChartReference
from overlays.signal.gamuts import FloatArray

LEAST_LIKENESS = 0.80
"""Correlation of measured with reference colours below which it is not this chart."""
_DARKEST = 0.004
"""Below this light flare and noise are too large to tell one patch from another."""


_LIGHT_SHARE = 0.35


class ChartHeld(Enum):
    """Which way the chart's first row lies in the picture."""

    UPRIGHT = "upright"
    ON_ITS_SIDE = "on its side"
    UPSIDE_DOWN = "upside down"


@dataclass(frozen=True, slots=True)
class Turn:
    """How the corners must be taken, and how like the chart it then looks (-1 to 1)."""

    quarters: int
    mirrored: bool
    likeness: float


def pattern(linear: FloatArray) -> FloatArray:
    """What tells patches apart in any light: (patches, 3) log2 ratios less their means.

    Red and blue against green, and a share of green alone: a shadow across a chart changes its
    colours little, so that it is still known for what it is.

    Parameters
    ----------
    linear:
        (patches, 3) float64 linear R, G, B; nan where a patch was not read.

    Returns
    -------
    ndarray
        float64 stops; nan where the patch is.

    Examples
    --------
    >>> grey_and_red = np.array([[0.2, 0.2, 0.2], [0.4, 0.2, 0.2]])  # redder by a stop
    >>> pattern(grey_and_red).round(2).tolist()
    [[-0.5, 0.0, 0.0], [0.5, 0.0, 0.0]]
    """
    red, green, blue = np.log2(np.maximum(linear, _DARKEST)).T
    told = np.stack([red - green, _LIGHT_SHARE * green, blue - green], axis=1)
    return np.asarray(told - np.nanmean(told, axis=0), dtype=np.float64)


def likeness(one: FloatArray, two: FloatArray) -> float:
    """Correlation of two patterns, -1 to 1, over the patches that both know (nan: not known).

    0 where one has no contrast at all.

    Parameters
    ----------
    one:
        (patches, 3) float64, from `pattern`.
    two:
        (patches, 3) float64 of the same patches.

    Returns
    -------
    float
        Without a unit; 1 for patterns of the same form.

    Examples
    --------
    >>> a = np.array([[1.0, 0.0, -1.0], [0.0, 1.0, -1.0]])
    >>> float(likeness(a, 2.0 * a)), float(likeness(a, -a))
    (1.0, -1.0)
    """
    known = np.isfinite(one).all(axis=-1) & np.isfinite(two).all(axis=-1)
    one, two = one[known] - one[known].mean(axis=0), two[known] - two[known].mean(axis=0)
    size = float(np.sqrt((one**2).sum() * (two**2).sum()))
    return float((one * two).sum()) / size if size > 0.0 else 0.0


def best_turn(
    reference: ChartReference, expected: FloatArray, along: FloatArray, across: FloatArray
) -> Turn:
    """The likeliest of the eight ways a chart can lie within four corners.

    Parameters
    ----------
    reference:
        Gives the layout.
    expected:
        (patches, 3) linear R, G, B of the reference.
    along:
        (patches, 3) linear R, G, B read with the corners as given.
    across:
        The same read with the corners turned by one quarter.

    Returns
    -------
    Turn
        With a likeness of -1 to 1; whether that is enough is for `settle` to say.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.signal.gamuts import published_gamut
    >>> linear = CHART24.linear(published_gamut("BT.709"))
    >>> best_turn(CHART24, linear, along=linear[::-1], across=np.full((24, 3), 0.18)).quarters
    2
    """
    want = pattern(expected)
    grid = (reference.rows, reference.columns, 3)
    found = []
    for quarters, read in ((0, along), (1, across)):
        seen = pattern(read).reshape(grid)
        found += [
            Turn(quarters, False, likeness(want, seen.reshape(-1, 3))),
            Turn(quarters + 2, False, likeness(want, seen[::-1, ::-1].reshape(-1, 3))),
            Turn(quarters, True, likeness(want, seen[:, ::-1].reshape(-1, 3))),
            Turn(quarters + 2, True, likeness(want, seen[::-1].reshape(-1, 3))),
        ]
    return max(found, key=lambda turn: turn.likeness)


def held(corners: Corners) -> ChartHeld:
    """Which way a chart lies whose corners start at its first patch.

    Parameters
    ----------
    corners:
        In the chart's own order.

    Returns
    -------
    ChartHeld
        By the direction of its columns, to within 45 degrees.

    Examples
    --------
    >>> corners = Corners(((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)))
    >>> held(corners).value, held(corners.turned(2)).value
    ('upright', 'upside down')
    """
    p = np.array(corners.points)
    down = (p[3] + p[2] - p[0] - p[1]) / 2.0
    angle = abs(math.degrees(math.atan2(float(down[0]), float(down[1]))))
    if angle <= 45.0:
        return ChartHeld.UPRIGHT
    return ChartHeld.ON_ITS_SIDE if angle < 135.0 else ChartHeld.UPSIDE_DOWN


def settle(reference: ChartReference, corners: Corners, turn: Turn) -> Corners:
    """The corners in the chart's own order.

    Parameters
    ----------
    reference:
        What the chart should be.
    corners:
        As given or found, clockwise from any.
    turn:
        From `best_turn`.

    Returns
    -------
    Corners
        Starting at the chart's first patch.

    Raises
    ------
    ChartNotFoundError
        What lies within them does not look like the chart any way round.
    ChartTurnedError
        It is seen in a mirror, or stands upside down.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> corners = Corners(((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)))
    >>> settle(CHART24, corners, Turn(quarters=0, mirrored=False, likeness=0.99)) == corners
    True
    >>> settle(CHART24, corners, Turn(quarters=0, mirrored=True, likeness=0.99))
    Traceback (most recent call last):
        ...
    overlays.errors.ChartTurnedError: the 24-patch colour rendition chart is...
    """
    if turn.likeness < LEAST_LIKENESS:
        raise ChartNotFoundError(
            f"what lies within the corners is not the {reference.name}: its colours agree with the "
            f"reference by {max(turn.likeness, 0.0):.2f} of 1; check the corners, or give the "
            "chart's own file"
        )
    if turn.mirrored:
        raise ChartTurnedError(
            f"the {reference.name} is seen mirrored; turn off the camera's or the feed's mirroring"
        )
    settled = corners.turned(turn.quarters)
    if held(settled) is ChartHeld.UPSIDE_DOWN:
        first, last = reference.names[0], reference.names[-1]
        raise ChartTurnedError(
            f"the {reference.name} is upside down ({last} is at the upper left); turn it so that "
            f"{first} is there"
        )
    return settled
