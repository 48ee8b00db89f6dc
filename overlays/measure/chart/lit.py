"""How evenly a chart is lit, told from its own patches."""

from dataclasses import dataclass

import numpy as np

from overlays.signal.gamuts import FloatArray

UNEVEN_STOPS = 0.15
"""Fall of light across the chart above which the reading is called doubtful."""
SHADOW_STOPS = 0.5
"""Fall, or step, above which there is no reading: about the ΔE00 of two neighbouring greys."""


@dataclass(frozen=True, slots=True)
class ChartEvenness:
    """How the light lies on the chart.

    Attributes
    ----------
    fall_stops:
        Difference between the lightest and the darkest place of the plane through the patches'
        log2 of measured against reference luminance.
    step_stops:
        Largest step found between the two sides of a straight line across the chart where it is
        clearer than the scatter on either side; 0 where there is none.
    """

    fall_stops: float
    step_stops: float


def evenness(offsets_stops: FloatArray, rows: int, columns: int) -> ChartEvenness:
    """How evenly the light lies, from each patch's luminance against its reference.

    Parameters
    ----------
    offsets_stops:
        (patches,) log2 of measured against reference luminance, in reading order; nan where a
        patch says nothing.
    rows, columns:
        Of patches.

    Returns
    -------
    ChartEvenness
        In stops, 0 or above.

    Notes
    -----
    A camera's own error of luminance on saturated patches is no unevenness; the plane is fitted by
    least absolute residuals (reweighted least squares), which a few such patches do not move.
    """
    r, c = np.divmod(np.arange(rows * columns), columns)
    known = np.isfinite(offsets_stops)
    place = np.column_stack([np.ones(rows * columns), c, r]).astype(np.float64)
    x, y = place[known], offsets_stops[known]
    weights = np.ones(len(y))
    plane: FloatArray = np.zeros(3)
    for _ in range(30):
        root = np.sqrt(weights)
        solved = np.linalg.lstsq(x * root[:, None], y * root, rcond=None)[0]
        plane = np.asarray(solved, dtype=np.float64)
        weights = 1.0 / np.maximum(np.abs(y - x @ plane), 0.02)
    fitted = place @ plane
    return ChartEvenness(float(fitted.max() - fitted.min()), _step(x[:, 1:], y))


def _step(places: FloatArray, y: FloatArray) -> float:
    """The largest difference of medians across a line, where it stands out of the scatter."""
    best = 0.0
    for angle in np.radians(np.arange(0.0, 180.0, 22.5)):
        along = places @ np.array([np.cos(angle), np.sin(angle)])
        for at in np.unique(np.round(along, 6))[1:]:
            far = along >= at - 1e-6
            if min(far.sum(), (~far).sum()) < 5:
                continue
            one, two = y[far], y[~far]
            step = abs(float(np.median(one) - np.median(two)))
            scatter = max(_spread(one), _spread(two), 0.02)
            if step > 2.0 * scatter:
                best = max(best, step)
    return best


def _spread(y: FloatArray) -> float:
    """Half of what the middle two thirds span: a standard deviation that outliers do not move."""
    low, high = np.percentile(y, [16.0, 84.0])
    return float(high - low) / 2.0
