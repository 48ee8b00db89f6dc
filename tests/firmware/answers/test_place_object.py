import pytest

from firmware.answers.place_object import centre_of, sides_of
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.reasons import Bound


def test_where_a_spot_is():
    assert centre_of(SpotPlace(10, 20, 30, 40)) == (10, 20, 30)


@pytest.mark.parametrize("bound", [None, *Bound])
def test_a_number_is_a_bound_on_one_side_at_the_most(bound):
    assert sides_of(bound) == (bound is Bound.AT_LEAST, bound is Bound.AT_MOST)
    assert sum(sides_of(bound)) == (bound is not None)
