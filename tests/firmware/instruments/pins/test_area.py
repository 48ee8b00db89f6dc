from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.instruments.desk import Desk, PinPlace
from firmware.instruments.pins.area import area_of, parse_area
from overlays.measure.spot.spot import SpotPlace

WHOLE = st.integers(0, 99_999)


@given(WHOLE, WHOLE, WHOLE, WHOLE)
def test_an_area_is_its_centre_and_size(x, y, width, height):
    assert parse_area(f"{x}, {y},{width} ,{height}") == SpotPlace(x, y, width, height)


@given(st.text().filter(lambda text: text.count(",") != 3))
def test_whatever_else_is_written_is_refused_with_an_example(text):
    with pytest.raises(ArgumentError, match="960,540,1200,800"):
        parse_area(text)


@pytest.mark.parametrize("text", ["1,2,3,-4", "0.5,0.5,0.1,0.1", "²,1,1,1", ",,,", "a,b,c,d"])
def test_what_is_no_area(text):
    with pytest.raises(ArgumentError):
        parse_area(text)


SPOT = SpotPlace(80, 48, 40)
PLACES = st.builds(SpotPlace, st.integers(40, 100), st.integers(40, 60), st.integers(2, 60))


def spanned(*places):
    """The area that pins span; nothing else of a scene matters to it."""
    desk = Desk(tuple(PinPlace("", place) for place in places))
    return area_of(SimpleNamespace(desk=desk, place=SPOT))


@given(PLACES, PLACES, PLACES)
def test_the_area_is_the_smallest_box_that_holds_the_last_two_pins(first, one, other):
    found = spanned(first, one, other)
    assert found == spanned(other, one)
    covered = np.zeros((200, 200), int)
    for pin in (one, other):
        covered[pin.top : pin.top + pin.rows, pin.left : pin.left + pin.size] = 1
    rows, columns = np.nonzero(covered)
    assert (found.left, found.top) == (columns.min(), rows.min())
    assert (found.size, found.rows) == (np.ptp(columns) + 1, np.ptp(rows) + 1)


def test_without_two_pins_it_is_the_spot():
    assert spanned() == spanned(SpotPlace(8, 88, 16)) == SPOT


@pytest.mark.parametrize("text", ["1,2,3,\u00b2", "-1,2,3,4", "1,2,3," + "9" * 50])
def test_numbers_that_are_none_get_a_sentence(text):
    with pytest.raises(ArgumentError, match="is no area") as caught:
        parse_area(text)
    assert len(str(caught.value)) < 250
