"""A ghost: another picture's trace, faint, wherever the live one has nothing."""

import numpy as np

from overlays.draw.theme import GROUND, SKY, pixel_of
from overlays.draw.trace import Counts, Pixels, TraceDrawer, TraceGround, blend

FAINT = 0.55
"""How far a ghost's colour is from the ground."""


class GhostDrawer:
    """Draws one ghost; keeps where it lies while it and the size stay as they are."""

    def __init__(self) -> None:
        self._drawer = TraceDrawer()
        self._colour = np.uint32(pixel_of(blend(GROUND, SKY, FAINT)))
        self._counts: Counts | None = None
        self._there: np.ndarray[tuple[int, int], np.dtype[np.bool_]] | None = None

    def lay(
        self, counts: Counts, ground: TraceGround, spot: tuple[int, int], target: Pixels
    ) -> None:
        """Paint a ghost where a trace just drawn on `target` shows nothing but its ground.

        `counts` as for `TraceDrawer.draw`, of the other picture; the rest as drawn.
        """
        there = self._where(counts, (int(target.shape[0]), int(target.shape[1])))
        columns = np.arange(target.shape[1])
        which = ((columns >> 2) & 1) + np.where((columns >= spot[0]) & (columns < spot[1]), 2, 0)
        empty = target == ground.rows[which].T
        target[there & empty] = self._colour

    def _where(
        self, counts: Counts, shape: tuple[int, int]
    ) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
        if self._there is None or self._counts is not counts or self._there.shape != shape:
            scratch = np.zeros(shape, np.uint32)
            nothing = TraceGround(np.zeros((4, shape[0]), np.uint32))
            self._drawer.draw(counts, nothing, (0, 0), scratch)
            self._counts, self._there = counts, scratch != 0
        return self._there
