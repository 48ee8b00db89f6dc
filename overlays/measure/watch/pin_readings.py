"""The newest readings of one pin, with their times."""

import numpy as np

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.change import FloatArray, MadeOf, Times
from overlays.measure.watch.newest_readings import NewestReadings


class PinReadings:
    """Keeps the newest readings, at most `MOST_READINGS`, and counts all there ever were."""

    def __init__(self) -> None:
        self._kept = NewestReadings()
        self._total = 0

    def __len__(self) -> int:
        return len(self._kept)

    @property
    def total(self) -> int:
        """All readings taken, the forgotten ones too."""
        return self._total

    @property
    def last_ns(self) -> int | None:
        """Time of the newest reading; None where there is none."""
        return self._kept.time_of(0) if len(self._kept) else None

    @property
    def newest(self) -> FloatArray:
        """(3,) float64, the newest reading, in stops; there must be one. Good until the next."""
        return self._kept.last

    @property
    def span_s(self) -> float:
        """Seconds from the oldest kept reading to the newest; there must be one."""
        return (self._kept.time_of(0) - self._kept.time_of(-1)) / 1e9

    def add(self, time_ns: int, values: FloatArray) -> None:
        """Take one more reading.

        Parameters
        ----------
        time_ns:
            Its time; times only go forward.
        values:
            (3,) float64, level, red and blue in stops; copied.

        Examples
        --------
        >>> readings = PinReadings()
        >>> readings.add(40_000_000, np.zeros(3))
        >>> len(readings), readings.total, readings.last_ns
        (1, 1, 40000000)
        """
        self._kept.add(time_ns, values)
        self._total += 1

    def clear(self) -> None:
        """Forget the readings; the count of all that were taken stays."""
        self._kept.clear()

    def last(self, count: int) -> FloatArray:
        """The newest readings, at most `count`, the oldest of them first.

        Parameters
        ----------
        count:
            0 or more.

        Returns
        -------
        ndarray
            (n, 3) float64, in stops.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for number in range(3):
        ...     readings.add(number, np.array([float(number), 0.0, 0.0]))
        >>> readings.last(2)[:, 0].tolist()
        [1.0, 2.0]
        """
        return self._kept.oldest_first(count)

    def made_of(self, count: int) -> MadeOf:
        """Of which frames the mean of the newest readings is one, at most `count`.

        Parameters
        ----------
        count:
            0 or more.

        Returns
        -------
        MadeOf
            All three quantities of the same, the oldest first.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for number in range(3):
        ...     readings.add(number, np.zeros(3))
        >>> readings.made_of(2).level
        (1, 2)
        """
        return MadeOf.of_all(self._kept.times(count))

    def times_around(self, start_ns: int, count: int, which: int) -> Times:
        """Times of the readings of which one that `since` gives is the mean.

        Parameters
        ----------
        start_ns, count:
            As they were given to `since`.
        which:
            Which of the values that it gave, from 0.

        Returns
        -------
        tuple of int
            Nanoseconds; the first and the last kept stand as often as they count.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for number in range(5):
        ...     readings.add(number, np.full(3, float(number)))
        >>> readings.times_around(1, 3, 0), readings.times_around(1, 3, 3)
        ((0, 1, 2), (3, 4, 4))
        >>> round(float(readings.since(1, 3)[1][3][0]), 6)  # of 3, 4 and 4
        3.666667
        """
        times = self._kept.times(MOST_READINGS)
        at = which + sum(each < start_ns for each in times)
        if len(times) <= count:
            return (times[at],)
        around = range(at - count // 2, at - count // 2 + count)
        return tuple(times[min(max(each, 0), len(times) - 1)] for each in around)

    def mean(self, count: int) -> FloatArray:
        """(3,) mean of the newest readings, at most `count`, at least 1.

        Parameters
        ----------
        count:
            Of readings; there must be one.

        Returns
        -------
        ndarray
            float64, in stops.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for number, level in enumerate((1.0, 2.0, 4.0)):
        ...     readings.add(number * 40_000_000, np.array([level, 0.0, 0.0]))
        >>> readings.mean(2)
        array([3., 0., 0.])
        """
        if count == 1:
            return self.newest.copy()
        # Summed from the newest backwards: the order decides the last bit.
        newest = self._kept.newest(count)
        return np.asarray(newest.sum(axis=0) / len(newest))

    def time_of(self, back: int) -> int:
        """Time in ns of the reading so many from the newest (1), or of the oldest kept.

        Parameters
        ----------
        back:
            1 or more; there must be a reading.

        Returns
        -------
        int
            Nanoseconds, of one of the readings kept.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for number in range(3):
        ...     readings.add(number * 40_000_000, np.zeros(3))
        >>> readings.time_of(1), readings.time_of(99)
        (80000000, 0)
        """
        return self._kept.time_of(min(back, len(self._kept)) - 1)

    def since(self, start_ns: int, count: int) -> tuple[FloatArray, FloatArray]:
        """Readings from a time on, each averaged with its neighbours.

        Parameters
        ----------
        start_ns:
            The first time wanted.
        count:
            Of how many readings each one becomes the mean; fewer kept readings stay as they are.

        Returns
        -------
        tuple
            (n,) times in seconds and (n, 3) values in stops, both float64, oldest first.

        Examples
        --------
        >>> readings = PinReadings()
        >>> for second in range(4):
        ...     readings.add(second * 1_000_000_000, np.array([float(second), 0.0, 0.0]))
        >>> times, values = readings.since(2_000_000_000, count=1)
        >>> times.tolist(), values[:, 0].tolist()
        ([2.0, 3.0], [2.0, 3.0])
        """
        times = np.array(self._kept.times(MOST_READINGS))
        values = self._kept.oldest_first(MOST_READINGS)
        kept = times >= start_ns
        if values.shape[0] > count:
            values = _smoothed(values, count)
        return times[kept] / 1e9, values[kept]


def _smoothed(values: FloatArray, count: int) -> FloatArray:
    """(n, 3) means of so many readings around each of (n, 3); the ends are repeated."""
    kernel = np.ones(count) / count
    padded = np.pad(values, ((count // 2, count - 1 - count // 2), (0, 0)), mode="edge")
    return np.stack([np.convolve(column, kernel, "valid") for column in padded.T], axis=1)
