"""The newest readings are the newest, however many came before them."""

import numpy as np
import pytest

from overlays.measure.watch.averaging import MOST_READINGS
from overlays.measure.watch.newest_readings import NewestReadings


def filled(count, kept=None):
    kept = NewestReadings() if kept is None else kept
    for number in range(count):
        kept.add(number * 1000, np.array([number, 2.0 * number, -number]))
    return kept


# The block is full, and its newest half is moved, after twice as many as are kept.
@pytest.mark.parametrize("more", [-1, 0, 1, 2, 750, 751, 752, 1500, 2253])
def test_the_newest_are_kept_over_every_move(more):
    count = MOST_READINGS + more
    kept, numbers = filled(count), list(range(count))[-MOST_READINGS:]
    assert len(kept) == len(numbers)
    assert kept.newest(10**6)[:, 0].tolist() == numbers[::-1]
    assert kept.last[0] == numbers[-1]
    assert kept.newest(10**6)[:, 1].tolist() == [2.0 * number for number in numbers[::-1]]
    assert kept.oldest_first(3)[:, 2].tolist() == [-number for number in numbers[-3:]]
    assert kept.times(10**6) == tuple(1000 * number for number in numbers)
    assert kept.time_of(0) == 1000 * numbers[-1]
    assert kept.time_of(-1) == 1000 * numbers[0]


def test_what_is_asked_for_and_not_there_is_left_out():
    kept = filled(2)
    assert kept.newest(0).shape == (0, 3)
    assert kept.newest(5)[:, 0].tolist() == [1.0, 0.0]
    assert kept.times(0) == ()
    assert kept.times(1) == (1000,)


def test_it_begins_anew_when_cleared():
    kept = filled(1000)
    kept.clear()
    assert len(kept) == 0
    assert filled(2, kept).newest(9)[:, 0].tolist() == [1.0, 0.0]


def test_what_is_added_and_what_is_given_oldest_first_are_copies():
    kept, values = NewestReadings(), np.array([1.0, 2.0, 3.0])
    kept.add(0, values)
    values[:] = 0.0
    given = kept.oldest_first(1)
    given[:] = 9.0
    assert kept.newest(1).tolist() == [[1.0, 2.0, 3.0]]
