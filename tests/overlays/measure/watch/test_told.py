import numpy as np
import pytest

from overlays.measure.watch.change import Change
from overlays.measure.watch.told import Drift, ToldSoFar

ALLOWED = np.array([0.1, 0.1, 0.1])
SECOND = 10**9


def at(*values):
    return np.array(values, dtype=np.float64)


BEGUN = ToldSoFar(reference=at(1, 0, 0), level=at(1, 0, 0))


def test_a_step_counts_from_the_level_just_before_and_ends_a_drift():
    drifting, _ = BEGUN.drifted(at(2, 0, 0), 0, 4 * SECOND, ALLOWED)
    told, event = drifting.stepped(at(2.1, 0, 0), at(3, 0, 0), 5 * SECOND, 9 * SECOND)
    assert (event.change, event.start_ns, event.end_ns) == (Change.STEP, 5 * SECOND, 9 * SECOND)
    assert event.by_stops == pytest.approx((0.9, 0, 0))
    assert event.off_stops == pytest.approx((2, 0, 0))
    assert told.drift is None
    assert told.level.tolist() == [3, 0, 0]
    assert told.reference.tolist() == [1, 0, 0]


def test_what_a_gap_brought_counts_from_what_was_told_of_and_leaves_a_drift():
    drifting, _ = BEGUN.drifted(at(2, 0, 0), 0, 4 * SECOND, ALLOWED)
    told, event = drifting.came_back(at(2.5, 0, 0), 5 * SECOND, 9 * SECOND)
    assert event.over_gap
    assert event.change is Change.STEP
    assert event.by_stops == (0.5, 0, 0)
    assert told.drift is drifting.drift


def test_a_drift_goes_on_its_way_untold():
    told, event = BEGUN.drifted(at(2, 0.04, -0.2), 0, 4 * SECOND, ALLOWED)
    assert (event.change, event.start_ns, event.end_ns) == (Change.DRIFT, 0, 4 * SECOND)
    assert event.by_stops == (1.0, 0.04, -0.2)
    # 0.04 is less than half the tolerance: red takes no part.
    assert told.drift.heading.tolist() == [1, 0, -1]
    assert told.drift.a_second == pytest.approx([0.25, 0.01, 0.05])
    onward = told.following(at(2.5, 0.5, -0.1))
    assert onward.level.tolist() == [2.5, 0.04, -0.2]
    assert onward.drift.told_ns == 4 * SECOND
    seen = told.going_on(at(2.5, 0.5, -0.1), 6 * SECOND)
    assert seen.level.tolist() == onward.level.tolist()
    assert seen.drift.told_ns == 6 * SECOND
    assert seen.settled().drift is None


def test_without_a_drift_nothing_goes_on():
    assert BEGUN.following(at(5, 5, 5)) is BEGUN
    assert BEGUN.going_on(at(5, 5, 5), 3) is BEGUN


def test_a_drift_of_a_moment_has_no_endless_speed():
    told, _ = BEGUN.drifted(at(2, 0, 0), 7, 7, ALLOWED)
    assert told.drift.a_second[0] == 10.0


@pytest.mark.parametrize(
    ("seconds", "which", "speed", "part"),
    [
        (12.0, 0, 0.9, True),
        (12.0, 0, 1.0, False),  # five times as fast as the drift
        (18.0, 0, 0.9, False),  # eight seconds after it was told of
        (12.0, 1, 0.9, False),  # a quantity that hardly drifts
    ],
)
def test_what_is_slow_and_soon_enough_is_part_of_a_drift(seconds, which, speed, part):
    drift = Drift(10 * SECOND, at(0.2, 0.01, 0), at(1, 0, 0))
    assert drift.is_part(round(seconds * SECOND), which, speed) is part


def test_something_passing_never_ends_before_it_began():
    event = BEGUN.passed(at(1.5, 0, 0), at(-0.5, 0, 0), 9, 4)
    assert event.change is Change.PASSING
    assert (event.start_ns, event.end_ns) == (9, 9)
    assert event.by_stops == (-2, 0, 0)
    assert event.off_stops == (0.5, 0, 0)
