"""On which side of its target a spot lies, at the edges, with noise, and where nobody can say."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.expose.side import USUAL_WITHIN_STOPS, Goal, Side, judge
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Signal
from overlays.wording.reasons import Bound, Reason
from tests.colour_frames import frame_of

GOAL = Goal()
YARD = yardstick(Signal(), published_curve("V-Log"))


def spot(at, pm=0.05, bound=None, unknown=None):
    return SimpleNamespace(
        stops=at, stops_pm=pm, bound=bound, unknown=unknown, rgb_linear=(0.18,) * 3
    )


def side(at, pm=0.05, before=None, goal=GOAL):
    return judge(spot(at, pm), goal, YARD, before).side


def test_what_counts_as_there_is_a_third_of_a_stop():
    assert pytest.approx(1 / 3) == USUAL_WITHIN_STOPS
    assert [side(at) for at in (-0.4, -0.33, 0.0, 0.33, 0.4)] == [
        Side.UNDER,
        Side.IN,
        Side.IN,
        Side.IN,
        Side.OVER,
    ]
    assert side(2.1, goal=Goal(stops(2.0), 0.2)) is Side.IN
    assert side(0.0, goal=Goal(stops(2.0), 0.2)) is Side.UNDER


def test_at_the_edge_it_stays_what_it_was_within_its_own_doubt():
    assert [side(0.36, before=was) for was in (Side.IN, Side.OVER)] == [Side.IN, Side.OVER]
    assert [side(0.30, before=was) for was in (Side.IN, Side.OVER)] == [Side.IN, Side.OVER]
    assert side(0.39, before=Side.IN) is Side.OVER
    assert side(0.27, before=Side.OVER) is Side.IN
    # From the other side there is nothing to stay at.
    assert side(0.30, before=Side.UNDER) is Side.IN
    assert side(-0.9, before=Side.OVER) is Side.UNDER


@given(st.floats(-3.0, 3.0), st.floats(0.001, 0.3), st.integers(0, 10**6))
def test_noise_within_the_doubt_never_changes_the_side_twice(level, pm, seed):
    dice = np.random.default_rng(seed)
    before, changes = None, 0
    for noise in dice.uniform(-pm, pm, 60) * 0.999:
        now = side(level + noise, pm, before)
        changes += before is not None and now is not before
        before = now
    assert changes <= 1


@given(st.floats(-6.0, 6.0), st.floats(0.0, 2.0), st.sampled_from([None, *Side]))
def test_a_side_is_said_only_where_it_is_surer_than_the_tolerance_is_wide(level, pm, before):
    found = judge(spot(level, pm), GOAL, YARD, before)
    if pm >= USUAL_WITHIN_STOPS and abs(level) <= USUAL_WITHIN_STOPS + pm:
        assert found.side is None
        assert "less sure than ±0.33 st" in found.why
    else:
        assert found.why == ""
        assert found.off_stops == level
        if abs(level) > USUAL_WITHIN_STOPS + pm:
            assert found.side is (Side.OVER if level > 0 else Side.UNDER)
        if abs(level) < USUAL_WITHIN_STOPS - pm:
            assert found.side is Side.IN


@pytest.mark.parametrize(
    ("seen", "side_", "why"),
    [
        (None, None, "not to be read"),
        (spot(None, None, unknown=Reason.NO_LIGHT), None, "no light"),
        (spot(0.0, None, unknown=Reason.PARTLY_CLIPPED), None, "partly clipped"),
        (spot(2.0, None, Bound.AT_LEAST), Side.OVER, ""),
        (spot(0.2, None, Bound.AT_LEAST), None, "clipped: at least +0.2 st"),
        (spot(-6.0, None, Bound.AT_MOST), Side.UNDER, ""),
        (spot(-0.1, None, Bound.AT_MOST), None, "cut off below: at most −0.1 st"),
    ],
)
def test_what_cannot_be_had_says_why(seen, side_, why):
    found = judge(seen, GOAL, YARD)
    assert (found.side, found.why) == (side_, why)


def test_a_target_in_percent_is_reached_through_the_curve():
    # Mid-grey is code 433 of ten bits, by V-Log's publication.
    grey = percent((433 - 64) / 8.76)
    light = np.full((64, 64, 3), 0.18 * 2.0**0.5)
    frame = frame_of(light, "V-Log", noise=0.5)
    yard = yardstick(frame.signal, published_curve("V-Log"))
    found = judge(read_spot(frame, yard, SpotPlace(32, 32, 32)), Goal(grey), yard)
    assert found.side is Side.OVER
    assert found.off_stops == pytest.approx(0.5, abs=0.02)
    assert judge(spot(0.0), Goal(percent(400.0)), YARD).why == Reason.OUT_OF_REACH.words
    assert math.isfinite(found.pm_stops)


@pytest.mark.parametrize(("at", "said"), [(-2.0, None), (0.0, None), (0.3, None), (0.4, Side.OVER)])
def test_what_may_be_clipped_is_surely_over_or_nothing(at, said):
    judged = judge(spot(at, None, unknown=Reason.PERHAPS_CLIPPED), GOAL, YARD)
    assert (judged.side, judged.pm_stops) == (said, None)
    assert judged.why == ("" if said else Reason.PERHAPS_CLIPPED.words)
    assert judged.bound is (Bound.AT_LEAST if said else None)
