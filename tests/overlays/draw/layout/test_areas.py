from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.layout.areas import (
    CHEAP_ENOUGH,
    CHEAP_RATIOS,
    Area,
    cheaply_fitted,
    fitted,
)
from overlays.draw.picture.taps import SMALL_RATIOS

PICTURES = [(1920, 1080), (1280, 720), (3840, 2160), (720, 576), (1080, 1920), (641, 357), (2, 2)]
SIDE = st.integers(0, 400)
AREAS = st.builds(Area, SIDE, SIDE, st.integers(1, 400), st.integers(1, 400))


def test_areas_know_what_they_hold_and_meet():
    area = Area(10, 10, 20, 20)
    assert area.holds(area.inset(3))
    assert not area.inset(3).holds(area)
    assert area.meets(Area(29, 29, 5, 5))
    assert not area.meets(Area(30, 10, 5, 5))


@given(AREAS, AREAS)
def test_what_is_beside_another_area_is_the_wider_part_that_does_not_meet_it(area, other):
    beside = area.beside(other)
    assert area.holds(beside)
    assert beside.width == 0 or not beside.meets(other)
    across = range(area.left, area.right)
    left = sum(column < other.left for column in across)
    right = sum(column >= other.right for column in across)
    assert beside.width == max(left, right)


@given(AREAS, SIDE)
def test_what_is_above_a_row_ends_there(area, row):
    above = area.above(row)
    assert (above.left, above.top, above.width) == (area.left, area.top, area.width)
    assert above.height == sum(each < row for each in range(area.top, area.bottom))


@pytest.mark.parametrize(
    ("box", "picture", "ratio"),
    [
        ((533, 320), (1920, 1080), Fraction(4)),
        ((853, 480), (1920, 1080), Fraction(5, 2)),
        ((1280, 720), (1920, 1080), Fraction(3, 2)),
        ((853, 480), (768, 432), Fraction(1)),
        ((853, 480), (1600, 900), Fraction(2)),
        ((853, 480), (2400, 1350), Fraction(3)),
    ],
)
def test_a_picture_is_fitted_at_a_ratio_with_a_loop_of_its_own(box, picture, ratio):
    wide, high = cheaply_fitted(*picture, *box)
    assert Fraction(picture[0], wide) == Fraction(picture[1], high) == ratio
    assert (ratio.numerator, ratio.denominator) in SMALL_RATIOS


def test_the_ratios_that_are_cheap_are_those_with_a_loop_of_their_own():
    assert sorted(CHEAP_RATIOS) == sorted(SMALL_RATIOS)


@pytest.mark.parametrize(("wide", "high"), PICTURES)
def test_a_cheap_size_is_not_much_smaller_than_the_best(wide, high):
    best, cheap = fitted(wide, high, 853, 480), cheaply_fitted(wide, high, 853, 480)
    assert CHEAP_ENOUGH * best[0] - 2 <= cheap[0] <= best[0]
