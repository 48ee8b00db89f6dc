import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.instruments.pins.area import parse_area
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
