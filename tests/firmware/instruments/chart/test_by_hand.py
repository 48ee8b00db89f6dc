"""Corners as they are moved by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.actions import Press
from firmware.instruments.chart.by_hand import (
    COARSE,
    FINE,
    UNMOVED,
    ByHand,
    pressed,
    shifted,
    start_box,
)

OWN = {Press.NEXT_STRIPE, Press.SPOT_CENTRE, *COARSE, *FINE}


def through(*presses, hand=None, columns=1920):
    hand = hand or ByHand()
    for press in presses:
        hand = pressed(hand, press, columns)
    return hand


def test_corners_move_and_are_given_back():
    moved = through(Press.NEXT_STRIPE, Press.SPOT_RIGHT, Press.SPOT_DOWN_FINE)
    assert moved.corner == moved.chosen == 1
    assert moved.offsets == ((0.0, 0.0), (24.0, 1.0), (0.0, 0.0), (0.0, 0.0))
    back = through(Press.SPOT_CENTRE, hand=moved)
    assert back.offsets is None
    assert back.chosen is None
    assert back.corner == 1


def test_corners_come_round():
    assert [through(*[Press.NEXT_STRIPE] * n).corner for n in range(5)] == [0, 1, 2, 3, 0]
    assert through(Press.NEXT_STRIPE).chosen is None  # it is looked for still


@pytest.mark.parametrize("ways", [COARSE, FINE])
def test_there_and_back_is_where_it_was(ways):
    left, right, up, down = ways
    assert through(left, up, right, down).offsets == UNMOVED
    assert through(left).offsets[0] == (-through(right).offsets[0][0], 0.0)
    assert through(up).offsets[0][1] < 0.0  # rows run downwards


def test_a_small_picture_still_has_a_coarse_step():
    assert through(Press.SPOT_RIGHT, columns=100).offsets[0] == (2.0, 0.0)


@pytest.mark.parametrize("press", [press for press in Press if press not in OWN])
def test_what_has_no_meaning_of_its_own_goes_on(press):
    assert pressed(ByHand(), press, 1920) is None


def test_the_box_that_corners_start_from_lies_a_fifth_inside():
    assert start_box(960, 540).points == (
        (192.0, 108.0),
        (768.0, 108.0),
        (768.0, 432.0),
        (192.0, 432.0),
    )


@given(st.tuples(*[st.tuples(*[st.floats(-5000, 5000)] * 2)] * 4))
def test_no_corner_leaves_the_picture(offsets):
    base = start_box(960, 540)
    moved = shifted(base, offsets, 960, 540)
    for (x, y), (to_x, to_y), (dx, dy) in zip(base.points, moved.points, offsets, strict=True):
        assert 0.0 <= to_x <= 960.0
        assert 0.0 <= to_y <= 540.0
        if 0.0 < to_x < 960.0 and 0.0 < to_y < 540.0:
            assert (to_x, to_y) == (x + dx, y + dy)
    assert shifted(base, UNMOVED, 960, 540) == base
