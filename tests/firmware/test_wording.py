import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.wording import channels_text, fine, percent_text, room_text, stops_text


@pytest.mark.parametrize(
    ("value", "pm", "text"),
    [
        (0.0, None, "+0.00"),
        (-0.001, None, "+0.00"),
        (-6.854, 0.153, "-6.85 ±0.15"),
        (0.0, 0.001, "+0.00 ±0.001"),
        (2.0, 0.00001, "+2.00 ±0.0001"),
        (None, None, "no light"),
        (None, 0.1, "no light"),
    ],
)
def test_stops(value, pm, text):
    assert stops_text(value, pm) == text


def test_percent():
    assert percent_text(-7.31) == "-7.3"
    assert percent_text(-0.01, 0.03) == "0.0 ±0.03"
    assert percent_text(42.13, 0.16) == "42.1 ±0.2"


@given(st.floats(1e-12, 100.0), st.integers(1, 3))
def test_what_is_uncertain_never_reads_as_certain(pm, digits):
    shown = float(fine(pm, digits))
    assert shown > 0.0
    assert math.isclose(shown, pm, abs_tol=0.51 * 10.0**-digits)


def test_channels_and_room():
    assert channels_text((0.1, None, -1.0)) == "+0.10 none -1.00"
    assert room_text(None) == "unknown"
    assert room_text(1.234) == "+1.23 st"
