"""The newest readings of one pin one after another in memory, with their times."""

from collections import deque
from itertools import islice

import numpy as np

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.change import FloatArray, Times


class NewestReadings:
    """Keeps at most `MOST_READINGS`, of which the newest are given without copying them.

    With every reading a mean of the newest is taken, and with every fifth a median: readings that
    lay apart would have to be gathered each time, which takes longer than both.

    Examples
    --------
    >>> kept = NewestReadings()
    >>> for number in range(3):
    ...     kept.add(number * 40_000_000, np.array([0.5 * number, 0.0, 0.0]))
    >>> kept.newest(2)[:, 0].tolist(), kept.times(2)
    ([1.0, 0.5], (40000000, 80000000))
    """

    def __init__(self) -> None:
        self._times: deque[int] = deque(maxlen=MOST_READINGS)
        # Each is written in front of the one before it, so that the newest comes first.
        self._rows: FloatArray = np.empty((2 * MOST_READINGS, 3))
        self._first = len(self._rows)

    def __len__(self) -> int:
        return len(self._times)

    def add(self, time_ns: int, values: FloatArray) -> None:
        """Take one more reading.

        Parameters
        ----------
        time_ns:
            Of its frame.
        values:
            (3,) float64, in stops; copied.
        """
        if self._first == 0:
            kept = self._rows[: MOST_READINGS - 1]
            self._first = len(self._rows) - len(kept)
            self._rows[self._first :] = kept
        self._first -= 1
        self._rows[self._first] = values
        self._times.append(time_ns)

    def clear(self) -> None:
        """Forget all of them."""
        self._times.clear()
        self._first = len(self._rows)

    @property
    def last(self) -> FloatArray:
        """(3,) float64 of the newest reading, as `newest` gives it; there must be one."""
        row: FloatArray = self._rows[self._first]
        return row

    def newest(self, count: int) -> FloatArray:
        """The newest readings, at most `count`, the newest first.

        Parameters
        ----------
        count:
            0 or more.

        Returns
        -------
        ndarray
            (n, 3) float64, in stops; not to be written to, and good until the next `add`.
        """
        return self._rows[self._first : self._first + min(count, len(self._times))]

    def oldest_first(self, count: int) -> FloatArray:
        """The newest readings, at most `count`, the oldest of them first.

        Parameters
        ----------
        count:
            0 or more.

        Returns
        -------
        ndarray
            (n, 3) float64, in stops, one's own.
        """
        return self.newest(count)[::-1].copy()

    def times(self, count: int) -> Times:
        """Times of the newest readings, at most `count`, the oldest of them first.

        Parameters
        ----------
        count:
            0 or more.

        Returns
        -------
        tuple of int
            Nanoseconds.
        """
        return tuple(reversed(list(islice(reversed(self._times), count))))

    def time_of(self, place: int) -> int:
        """Time in ns of the reading at a place among the newest.

        Parameters
        ----------
        place:
            0 for the newest, up to one less than there are; -1 for the oldest.

        Returns
        -------
        int
            Nanoseconds.
        """
        return self._times[-1 - place]
