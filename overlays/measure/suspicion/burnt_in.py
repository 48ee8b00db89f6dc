"""Diagonal stripes in the picture itself: a camera's own warning of bright parts, burnt in."""

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.signal.frame import Plane

AREA = 32
"""Samples of a side of the areas that are judged: of a picture thinned by two, some eight stripes
of the width that cameras draw."""

ONE_WAY = 3.0
"""Times the steps across the stripes that those along them are fewer, where an area shows them."""

LEAST_STEP = 0.05
"""Of the range from black to white: the mean step from sample to sample across them."""

LEAST_TURNS = 4
"""Times that the middle row of an area crosses its mean: an edge of a thing does once or twice."""

LEAST_SHARE = 0.01
LEAST_AREAS = 4
SAME_WAY = 0.8
"""Of the areas with stripes, those that lean as most do: stripes that are drawn all lean alike."""


def drawn_stripes(thin: Plane, span: float) -> Suspicion | None:
    """Stripes that lean alike in many areas.

    Parameters
    ----------
    thin:
        (rows, columns) of luma, stored samples, every second row and column of the picture.
    span:
        Stored samples from black to white.

    Returns
    -------
    Suspicion | None
        With the share of the picture that shows them.

    Examples
    --------
    >>> rows, columns = np.mgrid[:128, :128]
    >>> stripes = np.where((rows + columns) % 8 < 4, 940, 64).astype(np.uint16)
    >>> drawn_stripes(stripes, span=876.0).share, drawn_stripes(0 * stripes, span=876.0)
    (1.0, None)
    """
    rows, columns = thin.shape[0] // AREA * AREA, thin.shape[1] // AREA * AREA
    if rows * columns < LEAST_AREAS * AREA * AREA:
        return None
    cut = thin[:rows, :columns].astype(np.float32)
    down, up = _steps(cut[1:, 1:], cut[:-1, :-1]), _steps(cut[1:, :-1], cut[:-1, 1:])
    turning = _turns(cut) >= LEAST_TURNS
    strong = np.maximum(down, up) >= LEAST_STEP * span
    leaning = [
        turning & strong & (one > ONE_WAY * other) for one, other in ((down, up), (up, down))
    ]
    counts = [int(np.count_nonzero(each)) for each in leaning]
    found, share = sum(counts), max(counts) / turning.size
    if max(counts) < max(LEAST_AREAS, SAME_WAY * found) or share < LEAST_SHARE:
        return None
    pm = 1.96 * float(np.sqrt(share * (1.0 - share) / turning.size))
    return Suspicion(Sign.STRIPES, share, max(pm, 1.0 / turning.size))


def _steps(one: npt.NDArray[np.float32], other: npt.NDArray[np.float32]) -> npt.NDArray[np.float64]:
    """Mean step between diagonal neighbours, area by area; the last row and column are left out."""
    rows, columns = (one.shape[0] + 1) // AREA, (one.shape[1] + 1) // AREA
    steps = np.zeros((rows * AREA, columns * AREA), np.float32)
    steps[:-1, :-1] = np.abs(one - other)
    mean = steps.reshape(rows, AREA, columns, AREA).mean(axis=(1, 3), dtype=np.float64)
    return np.asarray(mean)


def _turns(cut: npt.NDArray[np.float32]) -> npt.NDArray[np.int64]:
    """How often the middle row of each area crosses its own mean."""
    lines = cut[AREA // 2 :: AREA].reshape(cut.shape[0] // AREA, -1, AREA)
    above = lines > lines.mean(axis=2, keepdims=True)
    return np.asarray((above[..., 1:] != above[..., :-1]).sum(axis=2))
