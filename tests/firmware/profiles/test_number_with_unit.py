import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import QuantityError
from firmware.profiles.number_with_unit import parse_level, parse_share, parse_width, text_of
from overlays.signal.quantities import Level, Unit, percent, stops

MINUS = "\u2212"


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("+6.0 st", stops(6.0)),
        ("42 %", percent(42.0)),
        ("0.2st", stops(0.2)),
        (f"{MINUS}1 st", stops(-1.0)),
        (" - 1.5  stops ", stops(-1.5)),
        ("1 stop", stops(1.0)),
        (".5%", percent(0.5)),
        ("-7.3 %", percent(-7.3)),
        ("3. st", stops(3.0)),
    ],
)
def test_quantities_as_people_write_them(text, level):
    assert parse_level(text) == level


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("0.2", '"0.2 st" for stops or "0.2 %" for percent'),
        ("0,2 st", "decimal comma"),
        ("nan st", "write it as"),
        ("inf %", "write it as"),
        ("-inf st", "write it as"),
        ("1e3 %", "write it as"),
        ("", "write it as"),
        ("st", "write it as"),
        ("+-1 st", "write it as"),
        ("1 st 2", "write it as"),
        ("31 st", "at most 30 st"),
        ("99999 %", "at most 1000 %"),
        ("\u0663 st", "write it as"),
        (5, '"5 st" or "5 %"'),
        (True, '"0 st" or "42 %"'),
        (None, '"0 st" or "42 %"'),
        (math.nan, "not a quantity"),
        ([], "not a quantity"),
    ],
)
def test_whatever_is_no_quantity_is_answered_with_a_remedy(text, remedy):
    with pytest.raises(QuantityError) as fault:
        parse_level(text)
    assert remedy in str(fault.value)


@given(
    st.decimals(-30, 30, places=3),
    st.sampled_from(["st", "stop", "stops", "%", "ST"]),
    st.text(" \t", max_size=3),
    st.sampled_from(["-", MINUS]),
)
def test_every_written_number_comes_back(number, unit, blank, minus):
    text = f"{blank}{str(number).replace('-', minus)}{blank}{unit}{blank}"
    level = parse_level(text)
    assert level.number == float(number)
    assert level.unit is (Unit.PERCENT if unit == "%" else Unit.STOPS)


@given(st.floats(-30, 30).map(lambda x: round(x, 3)), st.sampled_from(Unit))
def test_a_level_reads_back_what_it_prints(number, unit):
    level = Level(number, unit)
    again = parse_level(str(level))
    assert again.number == pytest.approx(number, abs=1e-4)
    assert again.unit is unit


@given(st.text(max_size=20))
def test_no_text_does_worse_than_a_clear_refusal(text):
    with contextlib.suppress(QuantityError):
        assert math.isfinite(parse_level(text).number)


def test_minus_zero_is_zero():
    assert math.copysign(1.0, parse_level("-0 st").number) == 1.0


@pytest.mark.parametrize(("text", "share"), [("4.4 %", 4.4), ("100%", 100.0), ("0.02 %", 0.02)])
def test_shares_of_the_picture(text, share):
    assert parse_share(text) == share


@pytest.mark.parametrize("text", ["0 %", "-1 %", "100.1 %", "1 st", "0.0 %", 4.4])
def test_shares_that_cannot_be(text):
    with pytest.raises(QuantityError):
        parse_share(text)


@pytest.mark.parametrize(
    "given_",
    [10**400, -(10**400), 10**5000, "9" * 5000, f"{'9' * 5000} st"],
    ids=["long", "negative", "longer", "text", "with unit"],
)
def test_numbers_of_hundreds_of_digits_get_a_sentence(given_):
    """A whole number too long for a float ended in OverflowError (issue 19, item 6)."""
    with pytest.raises(QuantityError) as caught:
        parse_level(given_)
    assert len(str(caught.value)) < 200


def test_what_is_neither_text_nor_number_is_no_text():
    nothing: list[object] = [True, [], {}, None, 10**5000]
    assert [text_of(each) for each in nothing] == [""] * 5
    assert [text_of(each) for each in ("x", 5, 0.5)] == ["x", "5", "0.5"]


@pytest.mark.parametrize("text", ["0.3 st", "1/3 st", "-1 st", "0 st", "11 st", "5 %", 0.3])
def test_a_tolerance_is_in_stops_and_leaves_something_outside(text):
    if text == "0.3 st":
        assert parse_width(text) == 0.3
    else:
        with pytest.raises(QuantityError, match=r"tolerance|quantity|unit|number"):
            parse_width(text)
