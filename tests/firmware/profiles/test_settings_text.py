import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import QuantityError
from firmware.profiles.settings_text import parse_setting
from overlays.measure.expose.sequences import ControlKind

ISO, APERTURE = ControlKind.ISO, ControlKind.APERTURE
ND, SHUTTER = ControlKind.ND, ControlKind.SHUTTER


@pytest.mark.parametrize(
    ("kind", "text", "label", "stops"),
    [
        (ISO, "800", "ISO 800", 3.0),
        (ISO, "EI 1600", "ISO 1600", 4.0),
        (APERTURE, "5.6", "f/5.6", -5.0),
        (APERTURE, "f/4", "f/4", -4.0),
        (APERTURE, "f4", "f/4", -4.0),
        (APERTURE, "T2.1", "T2.1", -2.0 * math.log2(2.1)),
        (ND, "0.6", "ND 0.6", -0.6 / math.log10(2.0)),
        (ND, "ND 1.2", "ND 1.2", -1.2 / math.log10(2.0)),
        (ND, "2 st", "ND of 2 st", -2.0),
        (ND, "1/64", "ND 1/64", -6.0),
        (ND, "none", "no ND", 0.0),
        (SHUTTER, "180 deg", "180 deg", math.log2(1 / 50)),
        (SHUTTER, "180", "180 deg", math.log2(1 / 50)),
        (SHUTTER, "172.8°", "172.8 deg", math.log2(172.8 / 360 / 25)),
        (SHUTTER, "1/50", "1/50 s", math.log2(1 / 50)),
        (SHUTTER, "1/100 s", "1/100 s", math.log2(1 / 100)),
        (SHUTTER, "0.02 s", "1/50 s", math.log2(1 / 50)),
    ],
)
def test_settings_as_crews_write_them(kind, text, label, stops):
    found = parse_setting(kind, text, 25.0)
    assert found.label == label
    assert found.stops == pytest.approx(stops, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (ISO, "fast", "no speed"),
        (ISO, "0", "none a camera has"),
        (APERTURE, "wide", "no stop"),
        (APERTURE, "0.1", "none a camera has"),
        (ND, "dark", "no filter"),
        (ND, "9.0", "none a camera has"),
        (SHUTTER, "50", "neither angle nor time"),
        (SHUTTER, "400 deg", "none a camera has"),
        (SHUTTER, "1/0", "neither angle nor time"),
        (SHUTTER, "fast", "neither angle nor time"),
    ],
)
def test_what_is_no_setting_is_refused_in_one_sentence(kind, text, said):
    with pytest.raises(QuantityError, match=said):
        parse_setting(kind, text, 25.0)


def test_an_angle_needs_a_rate():
    with pytest.raises(QuantityError, match="frames a second"):
        parse_setting(SHUTTER, "180 deg", None)
    assert parse_setting(SHUTTER, "1/50", None).seconds == 0.02


@given(st.sampled_from(list(ControlKind)), st.text(max_size=12))
def test_any_text_is_a_setting_or_a_sentence(kind, text):
    try:
        found = parse_setting(kind, text, 25.0)
    except QuantityError:
        return
    assert math.isfinite(found.stops)


def test_a_filter_behind_another_is_said_or_refused():
    assert parse_setting(ND, "ND 0.6 + 0.3").stops == pytest.approx(-0.9 / math.log10(2.0))
    with pytest.raises(QuantityError, match="one behind the other"):
        parse_setting(ND, "0.6 + dark")
