import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import ArgumentError
from firmware.written.spot_place import CENTRE, parse_spot, usual_size
from overlays.errors import SpotOutsideError


def test_whole_numbers_are_pixels_of_the_centre():
    place = parse_spot("960,540").place(1920, 1080, 48)
    assert (place.column, place.row, place.size) == (960, 540, 48)


def test_a_spot_may_be_wider_than_high():
    place = parse_spot("610,626,48x40").place(1920, 1080, 48)
    assert (place.left, place.size, place.top, place.rows) == (586, 48, 606, 40)


def test_a_decimal_point_makes_shares():
    place = parse_spot("0.25, .5,32").place(1920, 1080, 48)
    assert (place.column, place.row, place.size) == (480, 540, 32)


def test_one_point_nought_is_the_edge_not_the_first_pixel():
    spot = parse_spot("1.0,0.5")
    assert (spot.column, spot.row) == (1.0, 0.5)
    with pytest.raises(SpotOutsideError):
        spot.place(1920, 1080, 48)


def test_the_centre():
    place = CENTRE.place(1920, 1080, 48)
    assert (place.left, place.top) == (936, 516)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("960", "has 1 numbers"),
        ("1,2,3,4", "has 4 numbers"),
        ("960,0.5", "mixes pixels and shares"),
        ("a,b", "is no place"),
        ("nan,nan", "is no place"),
        ("1e2,1e2", "is no place"),
        ("1.5,0.5", "shares from 0.0 to 1.0"),
        ("-0.1,0.5", "shares from 0.0 to 1.0"),
        ("960,540,1", "write 2 or more"),
        ("960,540,0.1", "write 2 or more"),
        ("960,540,48x1", "write 2 or more"),
        ("960,540,x40", "write 2 or more"),
        ("", "has 1 numbers"),
    ],
)
def test_what_is_no_place_is_answered_with_an_example(text, words):
    with pytest.raises(ArgumentError) as fault:
        parse_spot(text)
    assert words in str(fault.value)
    assert "960,540" in str(fault.value)


@pytest.mark.parametrize(
    "text", ["-5,10", "1920,10", "0,0,48", "1919,1079,48", "960,540,4000", "1896,1057,48"]
)
def test_a_spot_outside_names_itself_the_picture_and_the_remedy(text):
    with pytest.raises(SpotOutsideError) as fault:
        parse_spot(text).place(1920, 1080, 48)
    assert "1920x1080" in str(fault.value)
    assert "move it" in str(fault.value)


@given(st.integers(24, 1920 - 24), st.integers(24, 1080 - 24))
def test_every_spot_wholly_inside_is_taken_as_written(column, row):
    place = parse_spot(f"{column},{row}").place(1920, 1080, 48)
    assert (place.column, place.row) == (column, row)


@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_shares_fall_into_the_pixel_they_name(x, y):
    place = parse_spot(f"{x:.6f},{y:.6f}").place(1920, 1080, 48)
    assert abs(place.column - x * 1920) <= 1.0
    assert abs(place.row - y * 1080) <= 1.0


def test_usual_size_follows_the_profile():
    assert usual_size(1080, 4.4) == 48
    assert usual_size(1080, 8.8) in {94, 96}
    assert usual_size(10, 0.1) == 2


@given(
    st.integers(2, 400),
    st.integers(2, 300),
    st.floats(0.0, 0.999),
    st.floats(0.0, 0.999),
    st.data(),
)
def test_every_pixel_of_a_picture_can_be_written_without_a_size(columns, rows, x, y, data):
    usual = 2 * data.draw(st.integers(1, 30))
    column, row = int(x * columns), int(y * rows)
    place = parse_spot(f"{column},{row}").place(columns, rows, usual)
    assert 2 <= place.size <= usual
    assert max(abs(place.column - column), abs(place.row - row)) <= 1
    inside = min(column, columns - column, row, rows - row) >= usual // 2
    assert not inside or (place.size, place.column, place.row) == (usual, column, row)


def test_a_size_that_is_written_is_kept_or_refused():
    with pytest.raises(SpotOutsideError):
        parse_spot("1910,10,48").place(1920, 1080, 48)
    assert parse_spot("1910,10").place(1920, 1080, 48).size == 20
