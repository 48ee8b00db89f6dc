"""The last readings of the spot on a live feed, whatever is pressed meanwhile."""

from collections.abc import Hashable

from overlays.measure.counting.yardstick import Yardstick
from overlays.measure.spot.steady import SteadySpot

PAUSE_NS = 1_000_000_000
"""From one reading of the spot to the next, after which those before it say nothing of it: light
drifts along a line only so long."""


class LastSpots:
    """Remembers them while they are read with the same. Belongs to one thread."""

    def __init__(self) -> None:
        self._key: Hashable = None
        self._at_ns = 0
        self._steady: SteadySpot | None = None

    def of(self, key: Hashable, yard: Yardstick, now_ns: int) -> SteadySpot:
        """Those before a reading that is taken now; none where the key is another.

        Parameters
        ----------
        key:
            What the spot is read with.
        yard:
            The yardstick of it.
        now_ns:
            On the clock of the loop.
        """
        is_late = not 0 <= now_ns - self._at_ns <= PAUSE_NS
        if self._steady is None or key != self._key or is_late:
            self._key, self._steady = key, SteadySpot(yard)
        self._at_ns = now_ns
        return self._steady
