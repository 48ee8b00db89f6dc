"""How long a capture device may send nothing before it is called silent.

A machine that is late in asking must not be taken for a device that sends nothing: time counts only
as far as it was looked for a picture, and a device is given what it is known to need.
"""

from dataclasses import dataclass

FIRST_S = 1.5
"""For the first picture of a stream: receivers lock, sticks get ready. Common practice, no source.
From the second start in vain on it is twice as much each time."""
MOST_S = 20.0
"""Longest that is waited for one picture, however slow a device has been."""
LOOK_S = 0.25
"""Most that one look in vain counts: a machine that was away for longer has seen no more by it."""
SPARE = 3.0
"""So many times as long as its slowest of late may a device take. Our own choice."""
FADES = 0.9
"""What is left, with each picture, of what the slowest needed."""


@dataclass(slots=True)
class Silence:
    """What was waited for in vain since the last picture.

    Examples
    --------
    >>> silence = Silence()
    >>> silence.starts(0)
    >>> silence.looked(9_000_000_000, found=False)  # asked once, nine seconds late
    >>> silence.is_over(1.0)
    False
    """

    _since_ns: int = 0
    _looked_ns: int = 0
    _quiet_ns: int = 0
    _needed_ns: float = 0.0
    _is_first: bool = True

    def starts(self, now_ns: int) -> None:
        """A stream was started just now: its first picture is waited for."""
        self._since_ns = self._looked_ns = now_ns
        self._quiet_ns, self._is_first = 0, True

    def looked(self, now_ns: int, *, found: bool) -> None:
        """It was looked for a picture, and one was there or none."""
        span_ns, self._looked_ns = now_ns - self._looked_ns, now_ns
        if found:
            self._needed_ns = max(float(now_ns - self._since_ns), FADES * self._needed_ns)
            self._since_ns, self._quiet_ns, self._is_first = now_ns, 0, False
        else:
            self._quiet_ns += min(span_ns, round(LOOK_S * 1e9))

    def is_over(self, least_s: float, tries: int = 0) -> bool:
        """Whether a device has been silent for too long.

        Parameters
        ----------
        least_s:
            What a device that sends pictures at its rate is given.
        tries:
            How often it was started again without a picture: the first one then gets ever longer.
        """
        return self._quiet_ns > 1e9 * self.bound_s(least_s, tries)

    def bound_s(self, least_s: float, tries: int = 0) -> float:
        """Seconds that are waited for the next picture."""
        first_s = FIRST_S * 2.0 ** min(max(tries - 1, 0), 8) if self._is_first else 0.0
        return min(max(least_s, first_s, SPARE * self._needed_ns / 1e9), MOST_S)
