"""Frames that lie midway between their neighbours: a grabber that makes a rate by blending.

Noise of a camera is new in each frame, so that no frame of its own is the mean of two others.
Seen are frames that are made of equal parts of both, as where a rate is doubled; of other parts,
as from 24 to 30 a second, no frame is made of its neighbours, and nothing is said.
"""

from collections import deque

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.repeats import (
    LEAST_REPEATS,
    MOST_SHARE,
    REMEMBERED,
)
from overlays.measure.suspicion.suspected import Sign, Suspicion

MIDWAY = 0.75
"""Root mean square, in codes, of what a blend differs by from the mean of its neighbours: at most a
half by rounding."""

UNLIKE = 2.5
"""The same of its neighbours against each other, at least: with less, frames of a camera's own lie
as near to the mean of two others."""

FloatArray = npt.NDArray[np.float32]


class Blends:
    """Which of the last frames were midway between the two beside them.

    Examples
    --------
    >>> shown = np.random.default_rng(1).uniform(0.0, 100.0, (40, 4, 8)).astype(np.float32)
    >>> shown[4:39:4] = (shown[3:38:4] + shown[5:40:4]) / 2.0  # every fourth is made of two
    >>> blends = Blends()
    >>> for number, rows in enumerate(shown):
    ...     blends.see(number, rows)
    >>> round(blends.suspicion().share, 2)
    0.24
    """

    def __init__(self) -> None:
        self._last: list[FloatArray] = []
        self._number: int | None = None
        self._seen: deque[tuple[int, bool]] = deque(maxlen=REMEMBERED)

    def see(self, number: int, rows: FloatArray) -> None:
        """Look at the next frame.

        Parameters
        ----------
        number:
            Of the frame; where some are passed over, those say nothing.
        rows:
            Parts of its luma in codes, any shape, not written afterwards.
        """
        if self._number != number - 1 or (self._last and self._last[-1].shape != rows.shape):
            self._last = []
        self._number, self._last = number, [*self._last[-2:], rows]
        if len(self._last) < 3:
            return
        one, between, other = self._last
        if _rms(other - one) >= UNLIKE:
            is_midway = _rms(between - np.float32(0.5) * (one + other)) <= MIDWAY
            self._seen.append((number - 1, is_midway))

    def suspicion(self) -> Suspicion | None:
        """What they say.

        Returns
        -------
        Suspicion | None
            With the share of frames that are blends.
        """
        blends = np.array([number for number, is_midway in self._seen if is_midway])
        if blends.size < LEAST_REPEATS:
            return None
        share = blends.size / len(self._seen)
        if share > MOST_SHARE or float(np.ptp(np.diff(blends))) > 2.0:
            return None
        return Suspicion(Sign.BLENDS, share, 1.96 * float(np.sqrt(share / len(self._seen))))


def _rms(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(np.square(values), dtype=np.float64)))
