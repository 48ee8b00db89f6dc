"""Where a curve is said to be known, and what ends that in the dark."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.known import KNOWN_STOPS, KnownEnd, known_of, pm_at
from tests.made_cameras import cut_at_black, seen_camera

SURE = ((-3.0, 0.2), (-2.0, 0.05), (-1.0, 0.03), (0.0, 0.01), (1.0, 0.01))
FEW = np.array([2.0, 1.0, 0.1, 0.1, 0.1])
NONE = np.zeros(5)


def known(sure=SURE, read=FEW, bent=NONE, floor=None, sunk=False):
    return known_of(sure, read, bent, 2.0, floor, sunk)


def test_a_curve_is_known_from_the_darkest_step_that_is_sure_up_to_the_clip():
    found = known()
    assert (found.from_stops, found.to_stops) == (-1.0, 2.0)
    assert found.end is KnownEnd.SAMPLES


def test_below_the_floor_nothing_is_claimed():
    found = known(floor=-0.5)
    assert (found.from_stops, found.end) == (-0.5, KnownEnd.NONE)
    assert known(floor=3.0).from_stops is None


def test_what_it_is_less_known_by_is_told_apart():
    assert known(bent=2.0 * FEW).end is KnownEnd.UNSEEN
    assert known(bent=2.0 * FEW, sunk=True).end is KnownEnd.CUT
    all_sure = tuple((stops, 0.01) for stops, _ in SURE)
    assert known(all_sure).end is KnownEnd.NONE


def test_the_widest_stretch_counts_and_its_upper_end_is_said():
    found = known((*SURE[:4], (1.0, 0.04)))
    assert (found.from_stops, found.to_stops) == (-1.0, 0.0)
    poor = tuple((stops, 0.5) for stops, _ in SURE)
    assert known(poor).from_stops is None
    assert known(poor).end is KnownEnd.SAMPLES


@given(st.lists(st.floats(0.001, 0.2), min_size=5, max_size=30))
def test_every_level_of_what_is_known_is_as_sure_as_is_said(half):
    sure = tuple((n / 3.0 - 4.0, each) for n, each in enumerate(half))
    flat = np.ones(len(half))
    found = known_of(sure, flat, flat, sure[-1][0] + 0.5, None, False)
    if found.from_stops is None:
        good = [each <= KNOWN_STOPS for each in half]
        assert not any(one and two for one, two in itertools.pairwise(good))
        return
    for level in np.linspace(found.from_stops, found.to_stops, 40):
        assert pm_at(level, sure) <= KNOWN_STOPS + 1e-9


def test_a_larger_card_makes_a_curve_known_further_down_where_samples_are_what_is_missing():
    """S-Log3 at 8 bits, whose dark end is straight: noise of so many samples is all that is left.

    Cramer and Rao: of n samples with a signal to noise of 1 no unbiased mean of one step is surer
    than 1.96 / sqrt(n) of its light, 0.059 stop at 48 pixels and 0.015 at 192. With what else is
    open at the floor (curve, black, what is sent below it) 0.03 is reached a little above it.
    """
    cards = [seen_camera("S-Log3", 8, edge).found() for edge in (48, 96, 192)]
    starts = [found.known.from_stops - found.floor_stops for found in cards]
    assert starts == sorted(starts, reverse=True)
    assert starts[0] > 1.0
    assert 0.0 < starts[-1] < 0.2
    assert {found.known.end for found in cards} == {KnownEnd.SAMPLES}


@pytest.mark.parametrize("curve", ["PQ", "BT.1886"])
def test_where_noise_reaches_below_black_unseen_no_larger_card_is_asked_for(curve):
    """Of a camera that sends nothing below black, half of the noise at the floor is missing."""
    found = seen_camera(curve, 8, 192, sensor=cut_at_black).found()
    assert found.known.end is KnownEnd.UNSEEN
    assert (found.known.from_stops or np.inf) > found.floor_stops + 0.5


def test_black_at_the_lowest_code_is_said():
    found = seen_camera("sRGB", 8, 96).found()
    assert found.known.end is KnownEnd.CUT


@pytest.mark.parametrize("stops", [-4.0, 0.5, 9.0])
def test_a_level_is_as_sure_as_the_steps_around_it(stops):
    assert pm_at(stops, SURE) == pytest.approx({-4.0: 0.4, 0.5: 0.01, 9.0: 0.01}[stops])
