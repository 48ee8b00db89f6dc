"""The quiet level of one pin: where it lies while nothing happens, and where it lay before."""

from collections import deque
from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.change import FloatArray, MadeOf, distance
from overlays.measure.watch.newest_readings import NewestReadings

_QUANTITIES = np.arange(3)
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
        self._readings = NewestReadings()
        self._past: deque[tuple[int, FloatArray]] = deque(maxlen=_PAST_LEVELS)
        self._level: FloatArray = np.zeros(3)
        self._made_of: MadeOf | None = None

    def __len__(self) -> int:
        return len(self._readings)

    @property
    def level(self) -> FloatArray:
        """(3,) float64 quiet level in stops; zeros until the first was taken."""
        return self._level

    @property
    def made_of(self) -> MadeOf | None:
        """Of which frames' readings the level is the mean; None until it was taken."""
        return self._made_of

    def add(self, time_ns: int, values: FloatArray) -> None:
        """Count a reading, (3,) in stops, as a quiet one; the level stays until it is renewed.

        Parameters
        ----------
        time_ns:
            Of its frame.
        values:
            float64; copied.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> quiet.add(0, np.array([0.5, 0.0, 0.0]))
        >>> len(quiet), quiet.level.tolist()  # counted, and no level yet
        (1, [0.0, 0.0, 0.0])
        """
        self._readings.add(time_ns, values)

    def forget_readings(self) -> None:
        """Begin to gather anew; the level and the levels before it stay."""
        self._readings.clear()

    def gathered(self) -> FloatArray:
        """(n, 3) all quiet readings kept, the oldest first."""
        return self._readings.oldest_first(MOST_READINGS)

    def newest(self, count: int) -> FloatArray:
        """(n, 3) newest quiet readings, at most `count`, the newest first.

        Parameters
        ----------
        count:
            At least 1.

        Returns
        -------
        ndarray
            float64, in stops; good until the next `add`.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> for level in (0.1, 0.2, 0.3):
        ...     quiet.add(0, np.array([level, 0.0, 0.0]))
        >>> quiet.newest(2)[:, 0].tolist()
        [0.3, 0.2]
        """
        return self._readings.newest(count)

    def renew(self, time_ns: int, count: int) -> None:
        """Take the median of the newest quiet readings as the level of this time.

        Parameters
        ----------
        time_ns:
            Now; times only go forward.
        count:
            Of how many readings, at most; 1 or more. There must be one.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> for number, level in enumerate((0.1, 0.2, 9.0)):
        ...     quiet.add(number, np.array([level, 0.0, 0.0]))
        >>> quiet.renew(3, 3)
        >>> quiet.level.tolist()  # the median: one bad reading does not move it
        [0.2, 0.0, 0.0]
        """
        level, places = middle_of(self.newest(count))
        time_of = self._readings.time_of
        made = MadeOf(*(tuple(map(time_of, column)) for column in places.T.tolist()))
        self._remember(time_ns, level, made)

    def begin(
        self,
        time_ns: int,
        level: FloatArray,
        readings: Iterable[FloatArray],
        times: Sequence[int],
    ) -> None:
        """Go over to another level, (3,), with the readings that showed it, the oldest first.

        Parameters
        ----------
        time_ns:
            Now; times only go forward.
        level:
            float64, in stops: their mean.
        readings:
            float64, (3,) each; copied.
        times:
            Of the readings' frames.

        Examples
        --------
        >>> quiet = QuietLevel(np.array([0.1, 0.1, 0.1]))
        >>> quiet.begin(0, np.array([0.5, 0.0, 0.0]), [np.array([0.5, 0.0, 0.0])], [0])
        >>> len(quiet), quiet.level.tolist()
        (1, [0.5, 0.0, 0.0])
        """
        self.forget_readings()
        for at_ns, values in zip(times, readings, strict=True):
            self._readings.add(at_ns, values)
        self._remember(time_ns, level, MadeOf.of_all(tuple(times)))

    def _remember(self, time_ns: int, level: FloatArray, made_of: MadeOf) -> None:
        self._level, self._made_of = level, made_of
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
        >>> quiet.begin(0, np.zeros(3), [], ())
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
        ...     quiet.begin(second * 1_000_000_000, np.array([0.05 * second, 0.0, 0.0]), [], ())
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
        ...     quiet.begin(second * 1_000_000_000, np.array([0.1 * second, 0.0, 0.0]), [], ())
        >>> quiet.last_near(9_000_000_000, np.array([0.1, 0.0, 0.0]), share=0.5)
        1000000000
        """
        near = [at for at, past in self._past if distance(past, level, self._allowed) < share]
        return near[-1] if near else min(self._past[0][0], time_ns)


def middle_of(values: FloatArray) -> tuple[FloatArray, npt.NDArray[np.intp]]:
    """A median, and of which readings it is the mean: the one in the middle, or the two.

    Parameters
    ----------
    values:
        (n, 3) float64, n at least 1.

    Returns
    -------
    tuple of ndarray
        (3,) float64 in stops, and (1 or 2, 3) places among the readings; of equal ones the first.

    Examples
    --------
    >>> readings = np.array([[3.0, 0.0, 1.0], [1.0, 2.0, 2.0], [2.0, 1.0, 3.0]])
    >>> middle_of(readings)
    (array([2., 1., 2.]), array([[2, 2, 1]]))
    """
    count = len(values)
    places = np.argsort(values, axis=0, kind="stable")[(count - 1) // 2 : count // 2 + 1]
    return values[places, _QUANTITIES].sum(axis=0) / len(places), places
