import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.wording.numbers import (
    UNKNOWN,
    dial_words,
    percent_text,
    pm_text,
    room_text,
    share_text,
    signed,
    stops_text,
)


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.0, "0.00"), (-0.001, "0.00"), (1.25, "+1.25"), (-6.853, "−6.85"), (0.004, "0.00")],
)
def test_stops_have_a_sign_unless_they_are_none(number, text):
    assert stops_text(number) == text


def test_a_wide_pm_takes_a_decimal_away():
    assert stops_text(-7.214, 0.6) == "−7.2"
    assert stops_text(-7.214, 0.4) == "−7.21"


@pytest.mark.parametrize("number", [None, math.nan, math.inf, -math.inf])
def test_what_is_not_known_is_dashes(number):
    for words in (stops_text, room_text, percent_text, share_text):
        assert words(number) == UNKNOWN


@given(st.floats(0.0001, 9.0))
def test_a_pm_never_promises_more_than_it_is(pm):
    printed = float(pm_text(pm, 2)[1:])
    assert printed >= pm - 1e-9
    assert printed < pm + 0.0101


def test_an_unknown_pm_says_so():
    assert pm_text(None, 2) == pm_text(math.inf, 2) == "± ?"


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.0, "0"), (1e-7, "<0.1"), (0.005, "0.5"), (0.12345, "12"), (0.9996, "99.9"), (1.0, "100")],
)
def test_little_is_not_nothing_and_nearly_all_is_not_all(share, text):
    assert share_text(share) == text


@given(st.floats(-200.0, 200.0), st.integers(0, 3))
def test_a_number_reads_back_as_itself(number, decimals):
    text = signed(number, decimals).replace("−", "-")
    assert float(text) == pytest.approx(number, abs=0.5 * 10.0**-decimals + 1e-9)


def test_percent_keeps_below_black_and_above_white():
    assert percent_text(-3.26) == "−3.3"
    assert percent_text(108.94) == "108.9"
    assert percent_text(-0.01) == "0.0"


def test_kelvin_are_rounded_to_ten_and_their_half_width_up_to_ten():
    assert dial_words(5604.9) == "5600 K"
    assert dial_words(3207.0) == "3210 K"
    assert pm_text(512.0, -1) == "±520"
    assert pm_text(500.0, -1) == "±500"
