"""The smoothest values that steps allow, where noise and rounding leave them in disorder.

What a curve gives light above black is taken as a logarithm, y = log2(value - black) over stops: of
all published curves that bends little (`BENT`), as the dark end is straight in light, and the rest
a logarithm or a power. Steps in the dark are held together by it; in the light, where they are
sure, it moves them by next to nothing. It is the likeliest curve of a normal prior on the bend
(Wahba 1978, smoothing splines as Bayes estimates), and its covariance says how sure it is.
"""

from dataclasses import dataclass

import numpy as np

from overlays.measure.spot.noise import SURE
from overlays.signal.levels import FloatArray

BENT = 0.1
"""Deviation of the bend of y, in doublings a square stop. Of the 26 published curves it is 0.076
root mean square, 0.14 in nineteen of twenty places, and 0.72 where S-Log3's straight end meets its
logarithm."""

KINKS = 2
"""Bends that say nothing of the steps: where the straight end of a curve meets its logarithm."""

SCATTERS = (0.005, 0.01, 0.015, 0.02, 0.03, 0.04, 0.055, 0.075, 0.1, 0.13, 0.17)
"""Deviations in stops that are tried of what steps are off by, each a third more than the last: the
largest is that of an even spread over ±0.3 stop."""

MOST_STRAIN = 1.5
"""From which on steps scatter by more than was read of them: of 45 steps a strain that is 1 in the
mean is 1.5 or less in 98 of 100 cases (chi squared of 41 degrees)."""

STEEP = 7
"""Steps whose slopes are judged together."""

Z95 = 1.96
TURNS = 40
SETTLED = 1e-6
MOST_MOVED = 1.0
"""Doublings by which a turn may move a step."""
LEAST_SLOPE = 0.05
"""Doublings a stop: half of the least that published curves have, 0.11 (ACEScc)."""
LEAST_TOLD = 1e-14
"""Share of what is told best below which double precision tells nothing."""
ALIKE = 0.5
"""Steps of codes within which neighbours are rounded alike, so that they tell the same."""


@dataclass(frozen=True, slots=True, eq=False)
class Smooth:
    """Steps on a smooth curve.

    Attributes
    ----------
    values:
        (n,) on the scale of the curve.
    pm_stops:
        (n,) half widths at 95 %, in stops.
    slope_pm_stops:
        (n,) by how much the light may be off at which the curve has the slope that it has there.
    black:
        Value of no light.
    strain:
        How far steps and bends lie from where they should: 1 where they are as half widths and
        `BENT` say. The `KINKS` sharpest bends are left out.
    value_pm_stops:
        (n,) half widths of the values themselves: less than of light where black is open.
    """

    values: FloatArray
    pm_stops: FloatArray
    slope_pm_stops: FloatArray
    black: float
    strain: float
    value_pm_stops: FloatArray


def smooth(
    stops: FloatArray, values: FloatArray, half: FloatArray, black: tuple[float, float], code: float
) -> Smooth:
    """The smoothest curve through steps.

    Parameters
    ----------
    stops, values, half:
        (n,) rising stops, what was read, and its half widths at 95 %, all above 0.
    black:
        Value of no light, and its half width.
    code:
        What one code is on the scale of the values.

    Returns
    -------
    Smooth
        As many steps.

    Examples
    --------
    >>> stops = np.arange(-3.0, 4.0)
    >>> values = 0.1 + 0.2 * 2.0**stops  # straight in light, over a black of 0.1
    >>> found = smooth(stops, values, np.full(7, 0.0005), (0.1, 0.0005), code=1 / 1023)
    >>> bool(np.abs(found.values - values).max() < 0.001), found.strain < 1.0
    (True, True)
    """
    n = len(stops)
    bend = _bend(stops)
    weights = Z95 / half / np.sqrt(_alike(values, ALIKE * code))
    level, b = np.log2(np.maximum(values - black[0], 0.3 * half)), black[0]
    prior = np.zeros((n + 1, n + 1))
    prior[:n, :n] = bend.T @ bend
    black_weight = Z95 / max(black[1], 1e-9)
    normal = prior
    for _ in range(TURNS):
        lift = 2.0**level
        jacobian = np.column_stack([np.diag(lift * np.log(2.0)), np.ones(n)]) * weights[:, None]
        rest = (values - b - lift) * weights
        normal = jacobian.T @ jacobian + prior
        normal[n, n] += black_weight**2
        slope = jacobian.T @ rest - prior @ np.append(level, 0.0)
        slope[n] += black_weight**2 * (black[0] - b)
        move = np.linalg.solve(normal, slope)
        move[:n] = np.clip(move[:n], -MOST_MOVED, MOST_MOVED)
        level, b = level + move[:n], b + float(move[n])
        if np.abs(move[:n]).max() < SETTLED:
            break
    root = _root_of_inverse(normal)
    along = np.gradient(np.eye(n), stops, axis=0)  # (n, n): slopes of levels
    steep = np.maximum(along @ level, LEAST_SLOPE)
    # Of log2(2^y y'), which grows by about y' a stop; and of a value, which is black and 2^y.
    sloped = np.eye(n) + along / (steep * np.log(2.0))[:, None]
    none, by_black = np.zeros(n), 1.0 / (2.0**level * np.log(2.0))
    moved = ((np.eye(n), none), (sloped, none), (np.eye(n), by_black))
    spread, slope_spread, value_spread = (
        Z95 * np.sqrt(((each @ root) ** 2).sum(axis=1)) / steep
        for each in map(np.column_stack, moved)
    )
    bends = np.sort((bend @ level) ** 2)[: max(n - 2 - KINKS, 0)]
    left = (values - b - 2.0**level) * weights
    strain = float(left @ left + bends.sum()) / max(n - 2 - KINKS, 1)
    return Smooth(b + 2.0**level, spread, slope_spread, b, strain, value_spread)


def with_scatter(
    stops: FloatArray, values: FloatArray, half: FloatArray, black: tuple[float, float], code: float
) -> tuple[Smooth, FloatArray, float]:
    """The smoothest curve through steps that may have been set, or lit, a little otherwise.

    Shutters and irises are off, and lamps on the mains flicker: the least scatter is taken with
    which the steps lie on a smooth curve.

    Parameters
    ----------
    stops, values, half, black, code:
        As of `smooth`.

    Returns
    -------
    tuple[Smooth, ndarray, float]
        It, (n,) half widths with the scatter, and its deviation in stops: 0 where none is seen.

    Examples
    --------
    >>> stops = np.arange(-3.0, 4.0)
    >>> values = 0.1 + 0.2 * 2.0**stops  # straight in light, over a black of 0.1
    >>> _, half, scatter = with_scatter(stops, values, np.full(7, 0.0005), (0.1, 0.0005), 1 / 1023)
    >>> scatter, float(half[0])  # they lie on a smooth curve as they are
    (0.0, 0.0005)
    """
    found, scatter = smooth(stops, values, half, black, code), 0.0
    if found.strain <= MOST_STRAIN:
        return found, half, scatter
    slope = np.zeros(len(stops))
    for scatter in SCATTERS:
        slope = _steepness(found.values, stops)
        wide = np.hypot(half, Z95 * scatter * slope)
        found = smooth(stops, values, wide, black, code)
        if found.strain <= 1.0:
            break
    wide = np.hypot(half, SURE * Z95 * scatter * slope)
    return smooth(stops, values, wide, black, code), wide, scatter


def _steepness(values: FloatArray, stops: FloatArray) -> FloatArray:
    """(n,) slopes, each the median of those about it: steps in disorder make single ones none."""
    padded = np.pad(np.gradient(values, stops), STEEP // 2, mode="edge")
    near = np.lib.stride_tricks.sliding_window_view(padded, STEEP)
    return np.asarray(np.maximum(np.median(near, axis=1), 0.0))


def _bend(stops: FloatArray) -> FloatArray:
    """(n - 2, n): bends of levels at stops, in deviations of `BENT`."""
    n = len(stops)
    out = np.zeros((n - 2, n))
    for row in range(n - 2):
        one, two = stops[row + 1] - stops[row], stops[row + 2] - stops[row + 1]
        out[row, row : row + 3] = np.array([1 / one, -1 / one - 1 / two, 1 / two])
        out[row] *= 2.0 / (one + two) / BENT
    return out


def _alike(values: FloatArray, near: float) -> FloatArray:
    """(n,) how many steps lie within so much of each, itself with them."""
    found: FloatArray = (np.abs(values[:, None] - values) <= near).sum(axis=1).astype(np.float64)
    return found


def _root_of_inverse(normal: FloatArray) -> FloatArray:
    """R with R @ R.T the inverse of a normal matrix, (n, n).

    A variance as a sum of squares cannot come out below 0, as it does with the inverse itself where
    steps tell nothing apart, on one processor and not on the next.
    """
    scale = 1.0 / np.sqrt(np.diag(normal))
    weights, axes = np.linalg.eigh(normal * scale[:, None] * scale[None, :])
    weights = np.maximum(weights, LEAST_TOLD * weights[-1])
    return np.asarray(scale[:, None] * axes / np.sqrt(weights), dtype=np.float64)
