"""A ghost's trace: that of another picture, faint, wherever the live one has nothing."""

import numpy as np
import numpy.typing as npt

from overlays.draw.layout.theme import GROUND, SKY, pixel_of
from overlays.draw.moment.layers import Ghost
from overlays.draw.trace.trace import Pixels, TraceDrawer, TraceGround, blend
from overlays.measure.counting.kernels import Counts
from overlays.signal.levels import luma_scale
from overlays.signal.signal import Range, Signal

INK = SKY
FAINT = 0.55
"""How far a ghost's colour is from the ground: one tone, so that the live trace is told from it."""


class GhostDrawer:
    """Draws one ghost; keeps where it lies while it and the size stay as they are."""

    def __init__(self) -> None:
        self._drawer = TraceDrawer()
        self._colour = np.uint32(pixel_of(blend(GROUND, INK, FAINT)))
        self._key: tuple[Ghost, Range, tuple[int, int]] | None = None
        self._there: npt.NDArray[np.bool_] = np.zeros((0, 0), np.bool_)

    def lay(
        self,
        ghost: Ghost,
        signal: Signal,
        ground: TraceGround,
        spot: tuple[int, int],
        target: Pixels,
    ) -> None:
        """Paint a ghost where a trace just drawn on `target` shows nothing but its ground.

        `signal` is that of the live trace; the rest as drawn.
        """
        there = self._where(ghost, signal, (int(target.shape[0]), int(target.shape[1])))
        columns = np.arange(target.shape[1])
        which = ((columns >> 2) & 1) + np.where((columns >= spot[0]) & (columns < spot[1]), 2, 0)
        empty = target == ground.rows[which].T
        target[there & empty] = self._colour

    def _where(self, ghost: Ghost, signal: Signal, shape: tuple[int, int]) -> npt.NDArray[np.bool_]:
        key = (ghost, signal.range, shape)
        if self._key != key:
            scratch = np.zeros(shape, np.uint32)
            nothing = TraceGround(np.zeros((4, shape[0]), np.uint32))
            self._drawer.draw(levels_for(ghost, signal), nothing, (0, 0), scratch)
            self._key, self._there = key, scratch != 0
        return self._there


def levels_for(ghost: Ghost, signal: Signal) -> Counts:
    """A ghost's levels where a signal of perhaps another range has the same percent."""
    if ghost.signal.range is signal.range:
        return ghost.levels
    depth = ghost.levels.shape[1]
    bits = depth.bit_length() - 1
    own = luma_scale(Signal(bits=bits, range=ghost.signal.range))
    live = luma_scale(Signal(bits=bits, range=signal.range))
    nominal = (np.arange(depth) - live.zero) / live.span
    level = np.rint(nominal * own.span + own.zero).astype(np.int64)
    out = ghost.levels[:, np.clip(level, 0, depth - 1)]
    out[:, (level < 0) | (level >= depth)] = 0
    return out
