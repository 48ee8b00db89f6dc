"""How evenly a chart is lit, told from its own patches."""

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from overlays.measure.counting.quantiles import quantile
from overlays.signal.gamuts import FloatArray

BoolArray: TypeAlias = NDArray[np.bool_]

UNEVEN_STOPS = 0.15
"""Fall of light across the chart above which the reading is called doubtful."""
SHADOW_STOPS = 0.5
"""Fall, or step, above which there is no reading: about the ΔE00 of two neighbouring greys."""
WRONG_CURVE_STOPS = 0.25
"""Error of the tones, from the lightest to the darkest grey, above which the curve is doubted: a
quarter of a stop is more than makers' greys, flare and rounding make together."""
_PLACES = 6
"""Terms of light over the chart: a level, a slope each way, a bend each way and a twist."""
_FEWEST_FREE = 4
"""Patches more than terms from which a term is fitted."""
_ROUNDS = 30
_OF_TONES = 0.35
"""Share of an error of the tones that may pass for a fall (0.05 to 0.27 where one curve is read as
another, tests/overlays/measure/chart/test_chart.py)."""
_ABOVE_FLARE = 0.08
"""Light above which one part in a hundred of flare makes less than a sixth of a stop."""
_CLOSE = 0.02
"""Stops within which patches count alike in the fit by least absolute residuals."""
_FEWEST_ASIDE = 5
"""Patches on either side of a line, across which a step is looked for."""
_LEAST_SCATTER = 0.02
"""Stops that patches scatter by at least, whatever those of one side say."""


@dataclass(frozen=True, slots=True)
class ChartEvenness:
    """How the light lies on the chart.

    Attributes
    ----------
    fall_stops, fall_pm:
        Difference between the lightest and the darkest place of the light over the chart, and its
        95 % half width by what the fit leaves over.
    middle_stops:
        By how much the middle is lighter than the edges: a lens or a lamp that falls off.
    step_stops:
        Largest step found between the two sides of a straight line across the chart where it is
        clearer than the scatter on either side; 0 where there is none.
    tones_stops:
        Error of the tones from the lightest patch to the darkest that flare does not lift, which
        no light makes: of the curve, or of a look on top of it.

    Examples
    --------
    >>> sure, unsure = (ChartEvenness(0.4, pm, 0.0, 0.0, 0.0) for pm in (0.1, 0.5))
    >>> sure.proven_fall, unsure.proven_fall
    (0.4, 0.0)
    """

    fall_stops: float
    fall_pm: float
    middle_stops: float
    step_stops: float
    tones_stops: float

    @property
    def proven_fall(self) -> float:
        """The fall where it is surer than its half width and than what a wrong curve leaves of it.

        0 where it is not: four terms of what a patch shows do not follow a curve that is stops off.
        """
        doubt = max(self.fall_pm, _OF_TONES * self.tones_stops)
        return self.fall_stops if self.fall_stops > doubt else 0.0


@dataclass(frozen=True, slots=True)
class _Terms:
    """What a patch's luminance may be off by: (patches, n) of places, and of what it shows."""

    places: FloatArray
    shown: FloatArray
    tones: int


def evenness(
    offsets_stops: FloatArray, rows: int, columns: int, linear: FloatArray
) -> ChartEvenness:
    """How evenly the light lies, from each patch's luminance against its reference.

    Parameters
    ----------
    offsets_stops:
        (patches,) log2 of measured against reference luminance, in reading order; nan where a
        patch says nothing.
    rows, columns:
        Of patches.
    linear:
        (patches, 3) linear R, G, B of the reference: what a patch shows.

    Returns
    -------
    ChartEvenness
        In stops.

    Notes
    -----
    Light goes by place, and a wrong curve, balance or matrix by what a patch shows. Both are fitted
    at once: a slope, a bend and a twist over the chart; a slope and a bend over log2 of the patch's
    luminance (the curve); and its red and blue against green (balance, matrix). So a wrong curve is
    not taken for uneven light, though the greys lie in a row. By least absolute residuals, which a
    few odd patches do not move. A chart of fewer patches has fewer terms.

    Examples
    --------
    >>> from overlays.measure.chart.reference import CHART24
    >>> from overlays.signal.gamuts import published_gamut
    >>> across = np.tile(np.linspace(0.0, -1.0, 6), 4)  # a stop less light at the right
    >>> light = evenness(across, 4, 6, CHART24.linear(published_gamut("BT.709")))
    >>> round(light.fall_stops, 2), round(abs(light.middle_stops), 2)
    (1.0, 0.0)
    """
    known = np.isfinite(offsets_stops)
    terms = _terms(rows, columns, linear, int(known.sum()))
    x = np.concatenate([terms.places, terms.shown], axis=1)
    found, left = _fitted(x[known], offsets_stops[known])
    light = terms.places @ found[: terms.places.shape[1]]
    high, low = int(np.argmax(light)), int(np.argmin(light))
    toward = np.zeros(x.shape[1])
    toward[: terms.places.shape[1]] = terms.places[high] - terms.places[low]
    shown = terms.shown @ found[terms.places.shape[1] :]
    tones = terms.shown[:, : terms.tones] @ found[terms.places.shape[1] :][: terms.tones]
    tones = tones[linear[:, 1] > _ABOVE_FLARE]
    sides = _sides(np.column_stack(_where(rows, columns))[known])
    steps = [_step(sides, each[known]) for each in (offsets_stops, offsets_stops - shown)]
    return ChartEvenness(
        fall_stops=float(light[high] - light[low]),
        fall_pm=_half_width(x[known], left, toward),
        middle_stops=_middle(light, rows, columns),
        # A step of light is there whether what patches show is taken away or not.
        step_stops=min(steps),
        tones_stops=float(np.ptp(tones)) if tones.size else 0.0,
    )


def _where(rows: int, columns: int) -> tuple[FloatArray, FloatArray]:
    """(column, row) of each patch, -1 to 1 from edge to edge."""
    r, c = np.divmod(np.arange(rows * columns), columns)
    return 2.0 * c / max(columns - 1, 1) - 1.0, 2.0 * r / max(rows - 1, 1) - 1.0


def _terms(rows: int, columns: int, linear: FloatArray, known: int) -> _Terms:
    """As many as the patches can carry, the likeliest first."""
    c, r = _where(rows, columns)
    one = np.ones(len(c))
    red, green, blue = np.log2(np.maximum(linear, 0.01)).T
    tone = green - green.mean()
    places = [one, c, r, c * c, r * r, c * r]
    shown = [tone, tone * tone, red - green, blue - green]
    if known < len(places) + len(shown) + _FEWEST_FREE:
        places, shown = places[:3], shown[:1]
    if known < len(places) + len(shown) + _FEWEST_FREE:
        shown = []
    of_shown = np.column_stack(shown) if shown else np.zeros((len(c), 0))
    return _Terms(np.column_stack(places), of_shown, min(2, len(shown)))


def _fitted(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Terms by least absolute residuals (reweighted least squares), and what is left."""
    weights = np.ones(len(y))
    found: FloatArray = np.zeros(x.shape[1])
    for _ in range(_ROUNDS):
        root = np.sqrt(weights)
        solved = np.linalg.lstsq(x * root[:, None], y * root, rcond=None)[0]
        found = np.asarray(solved, dtype=np.float64)
        weights = 1.0 / np.maximum(np.abs(y - x @ found), _CLOSE)
    return found, y - x @ found


def _half_width(x: FloatArray, left: FloatArray, toward: FloatArray) -> float:
    """95 % half width of a combination of the terms, by the scatter of what is left."""
    terms = x.shape[1]
    free = len(left) - terms
    if free < 1:
        return math.inf
    # As many patches as terms are met exactly; the middle one of the others says the deviation of
    # scatter, and the median's own efficiency of 2 / pi what that leaves of terms fitted by it.
    deviation = 1.4826 * float(np.median(np.sort(np.abs(left))[terms - 1 :]))
    scatter = math.pi / 2.0 * deviation**2
    spread = np.linalg.pinv(x.T @ x)
    # The two places were chosen for being furthest apart: Scheffé's bound holds for any two.
    sure = math.sqrt((_PLACES - 1) * _fisher95(float(free)))
    return sure * math.sqrt(max(0.0, scatter * float(toward @ spread @ toward)))


def _fisher95(free: float) -> float:
    """95 % point of Fisher's F of 5 and `free` degrees, within 1 % of tables from 6 on."""
    return 2.214 * (1.0 + 4.2 / free + 10.0 / free**2)


def _middle(light: FloatArray, rows: int, columns: int) -> float:
    """How much lighter the middle of the light is than its corners, on the mean."""
    c, r = _where(rows, columns)
    out = np.hypot(c, r)
    return float(light[out <= out.min() + 1e-9].mean() - light[out >= out.max() - 1e-9].mean())


def _sides(places: FloatArray) -> list[BoolArray]:
    """Which patches lie on the far side of each line that leaves enough of them on either."""
    out = []
    for angle in np.radians(np.arange(0.0, 180.0, 22.5)):
        along = places @ np.array([np.cos(angle), np.sin(angle)])
        for at in np.unique(np.round(along, 6))[1:]:
            far = along >= at - 1e-6
            aside = np.count_nonzero(far)
            if min(aside, far.size - aside) >= _FEWEST_ASIDE:
                out.append(far)
    return out


def _step(sides: list[BoolArray], y: FloatArray) -> float:
    """The largest difference of medians across a line, where it stands out of the scatter."""
    best = 0.0
    order = np.argsort(y)
    rising = y[order]
    for side in sides:
        far = side[order]
        one, two = rising[far], rising[~far]
        step = abs(_median(one) - _median(two))
        # The scatter takes longest to find, and most lines need none of it.
        if step <= max(best, 2.0 * _LEAST_SCATTER):
            continue
        if step > 2.0 * max(_spread(one), _spread(two)):
            best = step
    return best


def _median(rising: FloatArray) -> float:
    """Of sorted values."""
    half = len(rising) // 2
    return float(rising[half] if len(rising) % 2 else (rising[half - 1] + rising[half]) / 2.0)


def _spread(rising: FloatArray) -> float:
    """Half of what the middle two thirds of sorted values span.

    A standard deviation that outliers do not move.
    """
    return (quantile(rising, 0.84) - quantile(rising, 0.16)) / 2.0
