"""`[balance]`: kelvin, tint, tolerance and gamut as a person writes them."""

import pytest
from pydantic import ValidationError

from firmware.errors import ArgumentError, QuantityError
from firmware.profiles.balance_table import (
    BalanceTable,
    parse_gamut,
    parse_kelvin,
    parse_steps,
    parse_tint,
)
from firmware.profiles.reader import read_profile
from overlays.measure.colour.whitepoint import WhitePoint


@pytest.mark.parametrize("text", ["5600 K", "5600K", "5600", 5600, 5600.0, " 5600 k "])
def test_kelvin(text):
    assert parse_kelvin(text) == 5600.0


@pytest.mark.parametrize("text", ["", "warm", "999 K", "25001 K", True, "-5600 K", None, "56 00 K"])
def test_what_is_no_kelvin(text):
    with pytest.raises(QuantityError, match="no colour temperature"):
        parse_kelvin(text)


@pytest.mark.parametrize(
    ("text", "tint"), [("+3 thousandths", 3.0), (-3, -3.0), ("\u22122.5", -2.5), ("0", 0.0)]
)
def test_tint(text, tint):
    assert parse_tint(text) == tint


@pytest.mark.parametrize("text", ["green", "51", False, None])
def test_what_is_no_tint(text):
    with pytest.raises(QuantityError, match="no tint"):
        parse_tint(text)


def test_steps_are_eleven_ten_thousandths():
    assert parse_steps("3 steps") == pytest.approx(0.0033)
    assert parse_steps("1 step") == pytest.approx(0.0011)
    for text in ("3", 3, "0 steps", "31 steps", "-1 steps"):
        with pytest.raises(QuantityError, match="no tolerance"):
            parse_steps(text)


def test_gamut():
    assert parse_gamut("v-gamut").name == "V-Gamut"
    with pytest.raises(ArgumentError, match="unknown gamut"):
        parse_gamut("V-Gamot")


def test_the_table():
    assert BalanceTable().white is None
    table = BalanceTable.model_validate({"dial": "3200 K", "tint": "-2 thousandths"})
    assert table.white == WhitePoint(3200.0, -0.002)
    with pytest.raises(ValidationError):
        BalanceTable.model_validate({"dail": "3200 K"})


def test_a_profile_holds_it(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text(
        'curve = "V-Log"\ngamut = "V-Gamut"\n[balance]\ndial = "5600 K"\ntolerance = "2 steps"\n'
    )
    profile = read_profile(path)
    assert profile.gamut.name == "V-Gamut"
    assert profile.dial == WhitePoint(5600.0, 0.0)
    assert profile.tolerance == pytest.approx(0.0022)
