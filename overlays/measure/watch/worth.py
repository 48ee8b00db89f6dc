"""Whether the light of a pin can be followed: not where it is clipped, or where there is none.

A short stay at either end is what passes a pin; only what lasts is worth a word of its own.
"""

from collections import deque
from enum import Enum, auto

HOLDS_NS = 500_000_000
"""A condition that changed back within this is none: noise at its edge."""
_REMEMBERED = 64


class Worth(Enum):
    """What a pin's readings are worth."""

    PLAIN = auto()
    CLIPPED = auto()
    """At the clip: its light may rise unseen."""
    DARK = auto()
    """Below what can be read: there is no light, or it is drowned."""


class PinWorth:
    """Follows the condition of one pin; times only go forward.

    Examples
    --------
    >>> pin = PinWorth()
    >>> for number, seen in enumerate((Worth.PLAIN, Worth.CLIPPED, Worth.CLIPPED, Worth.CLIPPED)):
    ...     pin.add(number * 300_000_000, seen)
    >>> pin.now.name, pin.since_ns, pin.at(0).name  # clipped for 0.6 s, since the second reading
    ('CLIPPED', 300000000, 'PLAIN')
    """

    def __init__(self) -> None:
        self._settled: deque[tuple[int, Worth]] = deque(maxlen=_REMEMBERED)
        self._candidate: tuple[int, Worth] | None = None

    @property
    def now(self) -> Worth:
        """What holds since half a second or longer."""
        return self._settled[-1][1] if self._settled else Worth.PLAIN

    @property
    def since_ns(self) -> int:
        """Since when it does; 0 before the first."""
        return self._settled[-1][0] if self._settled else 0

    def add(self, time_ns: int, seen: Worth) -> None:
        """Take what a reading shows.

        Parameters
        ----------
        time_ns:
            Its time.
        seen:
            Of this reading alone.
        """
        if self._candidate is None or self._candidate[1] is not seen:
            self._candidate = time_ns, seen
        began_ns, _ = self._candidate
        first = not self._settled
        if first or (seen is not self.now and time_ns - began_ns >= HOLDS_NS):
            self._settled.append((began_ns, seen))

    def at(self, time_ns: int) -> Worth:
        """What held at a time; of times long gone the oldest that is remembered.

        Parameters
        ----------
        time_ns:
            Not later than now.

        Returns
        -------
        Worth
            Plain before the first reading.
        """
        known = [condition for began_ns, condition in self._settled if began_ns <= time_ns]
        if known:
            return known[-1]
        return self._settled[0][1] if self._settled else Worth.PLAIN
