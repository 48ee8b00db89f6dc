"""The ± of what is made of several spots: a ratio of two, the extremes out of many, a key."""

import math
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from overlays.measure.spot.spot import SpotReading

FloatArray = npt.NDArray[np.float64]

KEY_OPEN_STOPS = 0.5
"""How far apart the ends of a key over a fill may lie before there is none to tell."""
_CLEAR_STOPS = 1.0
"""From which on a ratio that is a bound tells a key, open by at most twice as much as it is."""
_MISSED = 0.05
"""Share of what a half width may fail to cover."""
_NORMAL = NormalDist()


def widened_for(choices: float) -> float:
    """How much wider noise is of what was chosen for being the furthest out.

    Parameters
    ----------
    choices:
        Out of how many, 1 or more: cells, or pairs of cells.

    Returns
    -------
    float
        A factor for a half width at 95 %.

    Notes
    -----
    By Bonferroni: where each of n stays within its bound but for 0.05 / n, all do but for 0.05,
    and so does the one that is chosen. For the two outermost of n the pairs are counted; of normal
    noise that is the studentised range or up to 4 % more.

    Examples
    --------
    >>> [round(widened_for(n), 2) for n in (1, 144, 144 * 143 / 2)]
    [1.0, 1.83, 2.33]
    """
    wide = -_NORMAL.inv_cdf(_MISSED / (2.0 * choices))
    return wide / -_NORMAL.inv_cdf(_MISSED / 2.0)


def difference_pm(first: SpotReading, second: SpotReading) -> float | None:
    """Half width of the difference of two spots in stops, at 95 %.

    Parameters
    ----------
    first, second:
        Two readings of places that were named and not chosen by what they read.

    Returns
    -------
    float | None
        Stops; None where one of them has none.

    Notes
    -----
    Noise adds in squares. What is no noise, rounding above all, is bounded for each of them, and
    anything within its bounds is as likely: of the sum of two even spreads 95 % lie within 1.10
    (both alike) to 1.13 times the bounds added in squares, and all within their plain sum. So its
    part is the lesser of those two, as `overlays.measure.spot.uncertainty.combine` has it.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> frame = grey_frame([[496, 420]], cell=16)
    >>> one, other = (read_spot(frame, LOG, SpotPlace(column, 8, 8)) for column in (8, 24))
    >>> f"{one.stops_pm:.4f} {other.stops_pm:.4f} {difference_pm(one, other):.4f}"
    '0.0065 0.0067 0.0106'
    """
    if first.stops_pm is None or second.stops_pm is None:
        return None
    one, other = (
        math.sqrt(max(0.0, pm**2 - spot.stops_noise**2))
        for spot, pm in ((first, first.stops_pm), (second, second.stops_pm))
    )
    even = -_NORMAL.inv_cdf(_MISSED / 2.0) / math.sqrt(3.0)
    bounded = min(one + other, even * math.hypot(one, other))
    return math.hypot(first.stops_noise, second.stops_noise, bounded)


def key_over_fill(stops: float, pm: float | None, *, is_bound: bool) -> float | None:
    """How far a key alone is above a fill, in stops, of how far both together are above it.

    Parameters
    ----------
    stops, pm:
        Of both over the fill alone, with the half width.
    is_bound:
        Whether `stops` is no more than a bound, and so without a half width.

    Returns
    -------
    float | None
        log2(2**stops - 1); None where what is known of `stops` leaves it open, as of two that are
        nearly alike: there a hundredth of a stop is stops of the key.

    Examples
    --------
    >>> round(key_over_fill(2.0, 0.02, is_bound=False), 2)
    1.58
    >>> key_over_fill(0.06, 0.042, is_bound=False) is None  # the key is -6.3 to -3.8 over the fill
    True
    """
    if pm is None:
        return _key(stops) if is_bound and stops >= _CLEAR_STOPS else None
    if stops - pm <= 0.0:
        return None
    is_open = _key(stops + pm) - _key(stops - pm) > KEY_OPEN_STOPS
    return None if is_open else _key(stops)


def _key(stops: float) -> float:
    return math.log2(math.expm1(stops * math.log(2.0)))


def cell_doubt(spot: SpotReading, weights: FloatArray) -> tuple[float, float]:
    """What a cell of an area may be off by, noise apart from what is no noise.

    Parameters
    ----------
    spot:
        The cell's reading.
    weights:
        (3,) float64 of luminance by linear R, G, B.

    Returns
    -------
    tuple[float, float]
        Stops: the half width by noise at 95 %, and the bound of all else, which of many cells one
        or the other reaches; both infinite where the spot has no half width.

    Examples
    --------
    >>> from overlays.measure.counting.example_yards import LOG
    >>> from overlays.measure.spot.spot import SpotPlace, read_spot
    >>> from overlays.signal.example_frames import grey_frame
    >>> spot = read_spot(grey_frame([[420]], cell=16), LOG, SpotPlace(8, 8, 8))
    >>> noise, bound = cell_doubt(spot, LOG.weights)
    >>> noise, round(bound, 4)
    (0.0, 0.0067)
    """
    pm = spot.stops_pm
    if pm is None or spot.luminance <= 0.0:
        return math.inf, math.inf
    errors = spot.errors
    roundings = np.array([plane.rounding for plane in errors.planes])
    bound = np.abs(weights @ errors.slopes) @ roundings
    bound += abs(weights @ errors.excess) + np.abs(weights) @ errors.hidden
    # As the spot carried its own half width from light to stops: by the lower, wider side.
    width = spot.luminance * -math.expm1(-pm * math.log(2.0))
    return spot.stops_noise, float(bound) * (pm / width if width > 0.0 else 0.0)


def spread_pm(noise: FloatArray, bounds: FloatArray, outer: tuple[int, int]) -> float:
    """Half width of the difference of the two cells that read furthest apart.

    Parameters
    ----------
    noise, bounds:
        (cells,) float64 of `cell_doubt`, in stops.
    outer:
        Which two they are.

    Returns
    -------
    float
        Stops, at 95 %; infinite where one of the two has none.

    Notes
    -----
    Of many cells the two that noise moved furthest apart are picked, and rounding may have moved
    both by all of its bound: the one up and the other down, where the light passes a code's edge.

    Examples
    --------
    >>> noisy, none = np.full(144, 0.01), np.zeros(144)
    >>> f"{spread_pm(noisy, none, (0, 1)):.3f} {spread_pm(none, noisy, (0, 1)):.3f}"
    '0.033 0.020'
    """
    count = len(noise)
    own = math.hypot(*(_noise_of(n, noise) for n in outer))
    of_noise = widened_for(count * (count - 1) / 2) * own
    return math.hypot(of_noise, sum(float(bounds[n]) for n in outer))


def within_pm(noise: FloatArray, bounds: FloatArray, light: FloatArray, outer: int) -> float:
    """Half width of how far the cell that reads furthest off the mean is from it.

    Parameters
    ----------
    noise, bounds:
        (cells,) float64 of `cell_doubt`, in stops.
    light:
        (cells,) float64 linear light.
    outer:
        Which cell it is.

    Returns
    -------
    float
        Stops, at 95 %; infinite where any cell has none.

    Examples
    --------
    >>> noisy, none = np.full(144, 0.01), np.zeros(144)
    >>> f"{within_pm(noisy, none, noisy, 0):.3f} {within_pm(none, noisy, noisy, 0):.3f}"
    '0.021 0.020'
    """
    # Rounding may lean one way in all cells, and noise may be shared by them.
    of_mean = float(np.average(noise, weights=light))
    bound = float(bounds[outer] + np.average(bounds, weights=light))
    return math.hypot(widened_for(len(noise)) * _noise_of(outer, noise), of_mean, bound)


def _noise_of(cell: int, noise: FloatArray) -> float:
    """A cell's half width by noise, or that of all where it is the larger.

    Of noise that neighbours share a small cell shows little, and now and then next to none.
    """
    return max(float(noise[cell]), math.sqrt(float((noise**2).mean())))
