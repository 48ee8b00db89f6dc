"""Frames that repeat evenly: a grabber that makes another rate of what the camera sends.

Two frames tell it that follow each other: noise of a camera is new in each, so that the same counts
mean the same picture. A board that measures fewer frames than come sees some of these pairs only;
each says at which number a picture was repeated, or was not, and repeats that come evenly lie at
one remainder of their distance, where no new picture lies. What it cannot know: how many are
repeated where every third frame is passed over, as some places are then never seen; of a feed of
which no two frames that follow each other are ever seen, nothing; of a picture without noise, as a
still one that a computer made, whether a frame was repeated or just is as the last.
"""

from collections import deque
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from overlays.measure.suspicion.suspected import Sign, Suspicion

REMEMBERED = 120
"""Frames looked back at."""

LEAST_REPEATS = 5
MOST_SHARE = 0.6
"""Of frames that repeat: a picture that stands still repeats more."""

FARTHEST = 30
"""Frames from one repeat to the next, at most: 24 made 25 a second repeats one of 25."""

UNLIKE = 0.02
"""Of the pixels that change their level from frame to frame where there is noise, at least."""

WHOLE = 0.9
"""Of frames that must have been seen for repeats to be held against each other one by one."""

Numbers = npt.NDArray[np.int64]


class Repeats:
    """Which of the last frames were the same as the one before.

    Examples
    --------
    >>> repeats = Repeats()
    >>> for number in range(60):  # the last of every five frames is shown once more
    ...     picture = number - (number % 5 == 4)
    ...     repeats.see(number, np.array([10 * (picture % 7), 90]))
    >>> round(repeats.suspicion().share, 1)
    0.2
    """

    def __init__(self) -> None:
        self._last: npt.NDArray[np.int64] | None = None
        self._number: int | None = None
        self._seen: deque[tuple[int, bool, float]] = deque(maxlen=REMEMBERED)

    def see(self, number: int, levels: npt.NDArray[np.int64]) -> None:
        """Look at the next frame.

        Parameters
        ----------
        number:
            Of the frame; where some are passed over before it, it says nothing.
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
            With the share of frames that repeat, of those seen right behind the one before.
        """
        repeated = np.array([number for number, same, _ in self._seen if same])
        new = np.array([number for number, same, _ in self._seen if not same])
        moved = [changed for _, same, changed in self._seen if not same]
        if repeated.size < LEAST_REPEATS or not moved or float(np.median(moved)) < UNLIKE:
            return None
        share = repeated.size / len(self._seen)
        if share > MOST_SHARE or not (_is_even(repeated, self._seen) or _is_one_of(repeated, new)):
            return None
        return Suspicion(Sign.REPEATS, share, 1.96 * float(np.sqrt(share / len(self._seen))))


def _is_even(repeated: Numbers, seen: Sequence[tuple[int, bool, float]]) -> bool:
    """Whether they lie as far apart everywhere, of frames of which few were passed over."""
    is_whole = len(seen) >= WHOLE * (seen[-1][0] - seen[0][0] + 1)
    return is_whole and float(np.ptp(np.diff(repeated))) <= 2.0


def _is_one_of(repeated: Numbers, new: Numbers) -> bool:
    """Whether they all are one of so many frames, and no new picture is."""
    for every in range(2, FARTHEST + 1):
        at = repeated[0] % every
        if (repeated % every == at).all() and not (new % every == at).any():
            return True
    return False
