"""How often a spot has left its band: each time once, however the reading swings at the edge."""

from functools import reduce

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.expose.excursions import Excursions
from overlays.measure.expose.side import Goal, Judgement, Side, judge
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal
from overlays.wording.reasons import Bound
from tests.overlays.measure.expose.test_side import spot

YARD = yardstick(Signal(), published_curve("V-Log"))


def over(levels, pm=0.05, start=None):
    """What has happened after readings of these levels, in stops off the target."""
    past = start or Excursions()
    for now, level in enumerate(levels):
        reading = None if level is None else spot(level, pm)
        past = past.after(judge(reading, Goal(), YARD, past.side), now)
    return past


def test_each_time_out_counts_once_and_the_farthest_is_kept():
    past = over([0.0, 0.5, 0.9, 0.6, 0.0, -0.7, 0.0])
    assert (past.count, past.latched, past.side) == (2, Side.UNDER, Side.IN)
    assert (past.farthest_stops, past.farthest_pm) == (0.9, 0.05)
    assert past.since_ns == 6


def test_out_from_the_start_is_no_time_out():
    assert over([0.9, 1.2]) == Excursions(Side.OVER)
    assert over([0.9, 0.0, 0.9]).count == 1


def test_from_one_side_to_the_other_is_another_time():
    past = over([0.0, 0.9, -0.9])
    assert (past.count, past.latched, past.is_out) == (2, Side.UNDER, True)


def test_a_reading_that_is_away_for_a_while_changes_nothing():
    assert over([0.0, 0.9, None, 0.9, None, 0.0]).count == 1
    assert over([0.0, None, None]) == Excursions(Side.IN)
    assert over([None]) == Excursions()


def test_cleared_it_begins_anew_on_the_side_it_is_on():
    past = over([0.0, 0.9])
    assert past.cleared() == Excursions(Side.OVER, since_ns=1)
    assert over([0.9, 0.0, -0.9], start=past.cleared()).count == 1


def test_a_spot_that_is_moved_has_not_been_out_for_that():
    past = over([0.0, 0.9, 0.0]).elsewhere()
    moved = over([2.5, 2.6], start=past)
    assert (moved.count, moved.farthest_stops, moved.side) == (1, 0.9, Side.OVER)


@given(st.floats(0.35, 2.0), st.floats(0.01, 0.2), st.integers(0, 10**6), st.integers(1, 6))
def test_noise_within_its_own_doubt_makes_no_times_of_one(level, pm, seed, times):
    """Light that goes out and comes back so often, with noise up to the reading's own ±."""
    dice = np.random.default_rng(seed)
    true = ([0.0] * 20 + [max(level, 0.34 + 2.1 * pm)] * 20) * times
    past = over([at + dice.uniform(-pm, pm) for at in true], pm)
    assert past.count == times


def test_a_bound_is_kept_as_the_farthest_without_a_doubt_of_its_own():
    judged = Judgement(Side.OVER, 3.0, None, bound=Bound.AT_LEAST)
    past = reduce(lambda made, _: made.after(judged, 1), range(2), Excursions(Side.IN))
    assert (past.count, past.farthest_stops, past.farthest_pm) == (1, 3.0, None)
    assert past.farthest_bound is Bound.AT_LEAST


def read(off, bound=None):
    side = Side.OVER if off > 0.0 else Side.UNDER
    return Judgement(side, off, 0.05 if bound is None else None, bound=bound)


@pytest.mark.parametrize(
    ("readings", "farthest"),
    [
        ((read(0.9), read(1.2)), (1.2, 0.05, None)),
        ((read(0.9), read(2.7, Bound.AT_LEAST)), (2.7, None, Bound.AT_LEAST)),
        # Known ones after or before it do not tell how far the one that was clipped was.
        ((read(2.7, Bound.AT_LEAST), read(2.9)), (2.9, None, Bound.AT_LEAST)),
        ((read(2.9), read(2.7, Bound.AT_LEAST)), (2.9, None, Bound.AT_LEAST)),
        ((read(2.7, Bound.AT_LEAST), read(0.9)), (2.7, None, Bound.AT_LEAST)),
        ((read(0.9), read(-7.0, Bound.AT_MOST)), (-7.0, None, Bound.AT_MOST)),
        ((read(2.7, Bound.AT_LEAST), read(-4.0)), (-4.0, None, Bound.AT_MOST)),
    ],
)
def test_once_it_was_a_bound_it_was_at_least_so_far_out(readings, farthest):
    past = reduce(lambda made, each: made.after(each, 1), readings, Excursions(Side.IN))
    assert (past.farthest_stops, past.farthest_pm, past.farthest_bound) == farthest
    assert past.cleared().farthest_bound is None


def test_back_in_its_band_it_is_out_no_longer():
    assert over([0.0, 0.9]).is_out
    assert not over([0.0, 0.9, 0.0]).is_out
