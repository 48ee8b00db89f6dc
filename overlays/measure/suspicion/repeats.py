"""Frames that repeat evenly: a grabber that makes another rate of what the camera sends."""

from collections import deque

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.suspected import Sign, Suspicion

REMEMBERED = 120
"""Frames looked back at."""

LEAST_REPEATS = 5
MOST_SHARE = 0.6
"""Of frames that repeat: a picture that stands still repeats more."""

UNLIKE = 0.02
"""Of the pixels that change their level from frame to frame where there is noise, at least."""


class Repeats:
    """Which of the last frames were the same as the one before."""

    def __init__(self) -> None:
        self._last: npt.NDArray[np.int64] | None = None
        self._number: int | None = None
        self._seen: deque[tuple[int, bool, float]] = deque(maxlen=REMEMBERED)

    def see(self, number: int, levels: npt.NDArray[np.int64]) -> None:
        """Look at the next frame.

        Parameters
        ----------
        number:
            Of the frame; where some are passed over, those say nothing.
        levels:
            Pixels by level, of parts of the picture, any shape.
        """
        last, following = self._last, self._number == number - 1
        self._last, self._number = levels, number
        if last is None or last.shape != levels.shape or not following:
            return
        changed = float(np.abs(levels - last).sum()) / max(float(levels.sum()), 1.0)
        self._seen.append((number, changed == 0.0, changed))

    def suspicion(self) -> Suspicion | None:
        """What they say.

        Returns
        -------
        Suspicion | None
            With the share of frames that repeat.
        """
        repeated = np.array([number for number, same, _ in self._seen if same])
        moved = [changed for _, same, changed in self._seen if not same]
        if repeated.size < LEAST_REPEATS or not moved or float(np.median(moved)) < UNLIKE:
            return None
        share = repeated.size / len(self._seen)
        gaps = np.diff(repeated)
        if share > MOST_SHARE or float(np.ptp(gaps)) > 2.0:
            return None
        return Suspicion(Sign.REPEATS, share, 1.96 * float(np.sqrt(share / len(self._seen))))
