"""Codes of the frames that a feed check read, together: one flat card shows too few of them."""

import numpy as np
import numpy.typing as npt

from firmware.instruments.scene import Scene
from overlays.measure.counting.census import histogram
from overlays.measure.suspicion.comb import comb
from overlays.measure.suspicion.suspected import Suspicion
from overlays.signal.signal import Signal


class SeenCodes:
    """Pixels by code, of all frames so far."""

    def __init__(self) -> None:
        self._counts: npt.NDArray[np.float64] | None = None
        self._read: tuple[int, Signal] | None = None

    def see(self, scene: Scene) -> None:
        """Count one more frame; of another depth than the last it begins anew."""
        counts = histogram(scene.census).astype(np.float64)
        read = (scene.census.bits, scene.yard.signal)
        fresh = self._counts is None or self._read is None or self._read[0] != read[0]
        self._counts = counts if fresh or self._counts is None else self._counts + counts
        self._read = read

    @property
    def comb(self) -> Suspicion | None:
        """The comb that they show; None where they show none."""
        if self._counts is None or self._read is None:
            return None
        return comb(self._counts, *self._read)
