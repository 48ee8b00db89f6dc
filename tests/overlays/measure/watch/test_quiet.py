import numpy as np
import pytest

from overlays.measure.watch.change import MadeOf
from overlays.measure.watch.quiet import QuietLevel

ALLOWED = np.array([0.1, 0.2, 0.2])


def level(value):
    return np.array([value, 0.0, 0.0])


def test_it_begins_empty_at_nothing():
    quiet = QuietLevel(ALLOWED)
    assert len(quiet) == 0
    assert quiet.level.tolist() == [0.0, 0.0, 0.0]


def test_the_level_is_the_median_and_waits_to_be_renewed():
    quiet = QuietLevel(ALLOWED)
    for value in (1.0, 2.0, 9.0):
        quiet.add(round(value), level(value))
    assert quiet.level[0] == 0.0
    assert quiet.newest(2)[:, 0].tolist() == [9.0, 2.0]
    assert quiet.gathered()[:, 0].tolist() == [1.0, 2.0, 9.0]
    quiet.renew(1, 3)
    assert quiet.made_of == MadeOf((2,), (2,), (2,))
    assert quiet.level[0] == 2.0
    quiet.forget_readings()
    assert len(quiet) == 0
    assert quiet.level[0] == 2.0


def test_distances_are_in_tolerances_of_each_quantity():
    quiet = QuietLevel(ALLOWED)
    assert quiet.distance(np.array([0.05, 0.3, -0.1])) == pytest.approx(1.5)
    assert quiet.distance(np.array([-0.4, 0.0, 0.0])) == pytest.approx(4.0)


def test_it_goes_over_to_another_level_with_its_readings():
    quiet = QuietLevel(ALLOWED)
    quiet.add(1, level(0.0))
    quiet.begin(5, level(3.0), [level(2.9), level(3.1)], (3, 4))
    assert quiet.made_of == MadeOf((3, 4), (3, 4), (3, 4))
    assert quiet.level[0] == 3.0
    assert quiet.gathered()[:, 0].tolist() == [2.9, 3.1]


def test_it_knows_where_it_was():
    quiet = QuietLevel(ALLOWED)
    for second in range(11):
        quiet.begin(second * 10**9, level(0.01 * second), [], ())
    now = 10 * 10**9
    assert quiet.moved_within(now, 5.0) == pytest.approx(0.5)
    assert quiet.moved_within(now, 2.0) == pytest.approx(0.2)
    # Within a quarter of the tolerance, 0.025 stops, of 0.04: up to 0.06, in the sixth second.
    assert quiet.last_near(now, level(0.04), 0.25) == 6 * 10**9
    assert quiet.last_near(now, level(5.0), 0.25) == 0
    assert quiet.last_near(-7, level(5.0), 0.25) == -7
