"""The terminal says what the screen says."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.answers.terminal_numbers import (
    channels_words,
    percent_words,
    plain,
    room_words,
    signed,
    stops_words,
)
from overlays.wording.numbers import percent_text, pm_text, stops_text


@pytest.mark.parametrize(
    ("value", "pm", "text"),
    [
        (0.0, None, "0.00 st"),
        (-0.001, None, "0.00 st"),
        (-6.854, 0.153, "-6.85 ±0.16 st"),
        (0.0, 0.001, "0.00 ±0.01 st"),
        (2.0, 0.7, "+2.0 ±0.70 st"),
        (None, None, "no light"),
        (None, 0.1, "no light"),
    ],
)
def test_stops(value, pm, text):
    assert stops_words(value, pm) == text


def test_percent_channels_room_and_signs():
    assert percent_words(-7.31) == "-7.3 %"
    assert percent_words(42.13, 0.16) == "42.1 ±0.2 %"
    assert channels_words((0.1, None, -1.0)) == "+0.10 no light -1.00"
    assert room_words(None) == "unknown"
    assert room_words(1.234) == "+1.23 st"
    assert signed(None) == ""
    assert signed(-0.456, 1) == "-0.5"


@given(st.floats(-20.0, 20.0), st.floats(1e-9, 100.0))
def test_number_and_half_width_are_those_of_the_screen(stops, pm):
    said = stops_words(stops, pm)
    assert said == f"{plain(stops_text(stops, pm))} {pm_text(pm, 2)} st"
    shown = float(said.split("±")[1].removesuffix(" st"))
    assert shown >= pm - 1e-9  # it never promises more than it is
    assert percent_words(stops, pm).startswith(plain(percent_text(stops)))
    assert not math.isclose(shown, 0.0)
