"""The quiet level of one pin: where it lies while nothing happens, and where it lay before."""

from collections import deque
from collections.abc import Iterable
from itertools import islice

import numpy as np

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.change import FloatArray, distance

_PAST_LEVELS = 64
"""Levels remembered: one for every five readings, so 13 s at 25 frames a second."""


class QuietLevel:
    """Median of the readings that were taken while nothing happened.

    Parameters
    ----------
    allowed:
        (3,) tolerances in stops; distances are counted in them.
    """

    def __init__(self, allowed: FloatArray) -> None:
        self._allowed = allowed
        self._readings: deque[FloatArray] = deque(maxlen=MOST_READINGS)
        self._past: deque[tuple[int, FloatArray]] = deque(maxlen=_PAST_LEVELS)
        self._level: FloatArray = np.zeros(3)

    def __len__(self) -> int:
        return len(self._readings)

    @property
    def level(self) -> FloatArray:
        """(3,) float64 quiet level in stops; zeros until the first was taken."""
        return self._level

    def add(self, values: FloatArray) -> None:
        """Count a reading, (3,) in stops, as a quiet one; the level stays until it is renewed.

        Parameters
        ----------
        values:
            float64; kept, not copied.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> quiet.add(np.array([0.5, 0.0, 0.0]))
        >>> len(quiet), quiet.level.tolist()  # counted, and no level yet
        (1, [0.0, 0.0, 0.0])
        """
        self._readings.append(values)

    def forget_readings(self) -> None:
        """Begin to gather anew; the level and the levels before it stay."""
        self._readings.clear()

    def gathered(self) -> FloatArray:
        """(n, 3) all quiet readings kept, the oldest first."""
        return np.array(self._readings)

    def newest(self, count: int) -> FloatArray:
        """(n, 3) newest quiet readings, at most `count`, the newest first.

        Parameters
        ----------
        count:
            At least 1.

        Returns
        -------
        ndarray
            float64, in stops.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> for level in (0.1, 0.2, 0.3):
        ...     quiet.add(np.array([level, 0.0, 0.0]))
        >>> quiet.newest(2)[:, 0].tolist()
        [0.3, 0.2]
        """
        return np.array(list(islice(reversed(self._readings), count)))

    def renew(self, time_ns: int, values: FloatArray) -> None:
        """Take the median of (n, 3) quiet readings as the level of this time.

        Parameters
        ----------
        time_ns:
            Now; times only go forward.
        values:
            float64, n at least 1.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> quiet.renew(0, np.array([[0.1, 0.0, 0.0], [0.2, 0.0, 0.0], [9.0, 0.0, 0.0]]))
        >>> quiet.level.tolist()  # the median: one bad reading does not move it
        [0.2, 0.0, 0.0]
        """
        self._remember(time_ns, np.median(values, axis=0))

    def begin(self, time_ns: int, level: FloatArray, readings: Iterable[FloatArray]) -> None:
        """Go over to another level, (3,), with the readings that showed it, the oldest first.

        Parameters
        ----------
        time_ns:
            Now; times only go forward.
        level:
            float64, in stops.
        readings:
            float64, (3,) each; kept, not copied.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> quiet.begin(0, np.array([0.5, 0.0, 0.0]), [np.array([0.5, 0.0, 0.0])])
        >>> len(quiet), quiet.level.tolist()
        (1, [0.5, 0.0, 0.0])
        """
        self._readings.clear()
        self._readings.extend(readings)
        self._remember(time_ns, level)

    def _remember(self, time_ns: int, level: FloatArray) -> None:
        self._level = level
        self._past.append((time_ns, level))

    def distance(self, values: FloatArray) -> float:
        """Greatest distance of (3,) values from the level, in tolerances.

        Parameters
        ----------
        values:
            float64, in stops.

        Returns
        -------
        float
            1 is at the tolerance.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.2, 0.2]))
        >>> quiet.renew(0, np.zeros((5, 3)))
        >>> float(quiet.distance(np.array([0.05, 0.0, 0.1])))
        0.5
        """
        return distance(values, self._level, self._allowed)

    def moved_within(self, time_ns: int, seconds: float) -> float:
        """By how many tolerances the level moved in so many seconds before a time.

        Parameters
        ----------
        time_ns:
            Now.
        seconds:
            Above 0.

        Returns
        -------
        float
            0 where no level of that time is remembered.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> for second in range(4):
        ...     quiet.renew(second * 1_000_000_000, np.array([[0.05 * second, 0.0, 0.0]]))
        >>> round(quiet.moved_within(3_000_000_000, seconds=2.0), 3)  # by 0.1 stop, a tolerance
        1.0
        """
        span_ns = seconds * 1e9
        past = next((level for at, level in self._past if time_ns - at <= span_ns), self._level)
        return self.distance(past)

    def last_near(self, time_ns: int, level: FloatArray, share: float) -> int:
        """When the quiet level last was near another one.

        Parameters
        ----------
        time_ns:
            Now; the answer is not later.
        level:
            (3,) the other level, in stops.
        share:
            How near, in tolerances.

        Returns
        -------
        int
            Time in ns; of the oldest level remembered where none was near.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> for second in range(4):
        ...     quiet.renew(second * 1_000_000_000, np.array([[0.1 * second, 0.0, 0.0]]))
        >>> quiet.last_near(9_000_000_000, np.array([0.1, 0.0, 0.0]), share=0.5)
        1000000000
        """
        near = [at for at, past in self._past if distance(past, level, self._allowed) < share]
        return near[-1] if near else min(self._past[0][0], time_ns)
