"""A flat bottom: dark parts that end at one code, where a camera's noise would go on below it."""

import numpy as np

from overlays.measure.suspicion.by_picture import MOVES
from overlays.measure.suspicion.suspected import Sign, Suspicion
from overlays.signal.frame import Plane

AREA = 8
"""Samples of a side of the areas that are judged: 64 that noise would not leave alike."""

ABOVE_BLACK = 0.02
"""Of the range from black to white: as `by_levels.BELOW_BLACK`, five times what the black of a
camera may be off. Nearer to the curve's black a camera itself may send nothing lower."""

LEAST_SHARE = 0.01
APART = 1.0 / 3.0
"""Of the height or the width, that they lie apart: one dark thing may truly have but one level."""


def flat_bottom(before: Plane, now: Plane, black: float, span: float) -> Suspicion | None:
    """Areas that stand still at the picture's lowest code, above the black of the curve.

    Parameters
    ----------
    before, now:
        The same rows and columns of luma of two frames, (rows, columns) stored samples.
    black, span:
        Stored sample of the curve's black, and how many there are to its white.

    Returns
    -------
    Suspicion | None
        With the share of the picture that lies on it; None too where nothing moves, so that
        standing still says nothing.

    Examples
    --------
    >>> noise = np.random.default_rng(1)
    >>> before, now = noise.integers(400, 500, (2, 128, 128), np.uint16)
    >>> before[:, :64], now[:, :64] = 150, 150  # half the picture lies on code 150
    >>> flat_bottom(before, now, black=64.0, span=876.0).share
    0.5
    """
    rows, columns = now.shape[0] // AREA * AREA, now.shape[1] // AREA * AREA
    cells = (rows // AREA, AREA, columns // AREA, AREA)
    if rows == 0 or columns == 0:
        return None
    cut, lowest = now[:rows, :columns], int(now.min())
    same = (cut == before[:rows, :columns]).reshape(cells).mean(axis=(1, 3))
    if lowest <= black + ABOVE_BLACK * span or float(np.median(same)) > MOVES:
        return None
    flat = (same == 1.0) & (cut.reshape(cells).max(axis=(1, 3)) == lowest)
    share, places = float(flat.mean()), np.argwhere(flat)
    if share < LEAST_SHARE or float((np.ptp(places, axis=0) / flat.shape).max()) < APART:
        return None
    return Suspicion(Sign.FLOOR, share, 1.96 * float(np.sqrt(share * (1.0 - share) / flat.size)))
