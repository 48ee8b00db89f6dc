import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.wording.read_number import LONGEST, number_in, short, size_in, whole, whole_in


@pytest.mark.parametrize(
    "text",
    [
        "",
        ".",
        "nan",
        "inf",
        "-inf",
        "1_000",
        "1e999",
        "0x10",
        "\u00b2",
        "\u0663",
        "1,5",
        "9" * 5000,
        "1e",
    ],
)
def test_what_python_or_nobody_takes_for_a_number_is_none(text):
    assert number_in(text) is None
    assert whole_in(text) is None


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_whatever_python_writes_is_read_back(number):
    assert number_in(repr(number)) == number


@given(st.integers(-(10**18) + 1, 10**18 - 1))
def test_whole_numbers_are_read_back(number):
    assert whole_in(str(number)) == number


@given(st.text(max_size=2 * LONGEST))
def test_any_text_is_a_finite_number_or_none(text):
    number, whole = number_in(text), whole_in(text)
    assert number is None or math.isfinite(number)
    assert whole is None or abs(whole) < 10**18
    assert size_in(text) is None or min(size_in(text)) >= 1


def test_sizes():
    assert size_in("1280X720") == (1280, 720)
    assert [size_in(text) for text in ("0x5", "5", "5x", "-4x4", "\u00b2x\u00b2", "1x1x1")] == [
        None
    ] * 6


@given(st.one_of(st.text(max_size=500), st.integers(), st.lists(st.integers(), max_size=90)))
def test_what_is_said_of_anything_fits_a_line(given_):
    assert len(short(given_)) <= 60


def test_numbers_that_python_does_not_write():
    assert short(10**5000) == "a number of thousands of digits"


@given(st.integers(-(10**17), 10**17))
def test_what_a_pattern_has_called_a_number_is_one(number):
    assert whole(str(number)) == number
    with pytest.raises(ValueError, match="is no whole number"):
        whole(f"{number}x")
