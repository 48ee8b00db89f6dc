"""Codes, percents and curve values in every combination, against the recommendations."""

import csv

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.signal.levels import (
    Carriage,
    chroma_scale,
    code_to_percent,
    decoding,
    encoding,
    link_step,
    luma_scale,
    percent_to_code,
    percent_to_value,
    value_to_percent,
)
from overlays.signal.signal import Components, Matrix, Range, Signal
from tests.places import REFERENCE

SQUEEZED = {Range.SQUEEZED, Range.SQUEEZED_TWICE}
"""Of no standard: what a device makes of a range that it takes for another one."""
LEVELS = list(csv.DictReader((REFERENCE / "levels.csv").read_text().splitlines()))
SIGNALS = [
    Signal(bits, limits, matrix)
    for bits in (8, 10, 12, 16)
    for limits in Range
    for matrix in Matrix
]
ids = [f"{s.bits}-{s.range.value}-{s.matrix.value}" for s in SIGNALS]


@pytest.mark.parametrize(
    "row",
    [r for r in LEVELS if r["system"] == "Y or RGB narrow range" and r["code10"]],
    ids=lambda r: r["name"],
)
def test_nominal_levels_of_the_recommendations(row):
    ten = Signal(bits=10)
    percent = code_to_percent(float(row["code10"]), ten)
    assert percent == pytest.approx(float(row["percent"]), abs=0.006)


@pytest.mark.parametrize(
    "signal", [each for each in SIGNALS if each.range not in SQUEEZED], ids=lambda s: f"{s}"
)
def test_scales_agree_with_colour_science(signal):
    legal = signal.range is Range.LIMITED
    low, high, c_low, c_high = colour.models.rgb.ycbcr.ranges_YCbCr(
        bits=signal.bits, is_legal=legal, is_int=True
    )
    luma, chroma = luma_scale(signal), chroma_scale(signal)
    assert (luma.zero, luma.zero + luma.span) == (low, high)
    if legal:
        assert (chroma.zero - chroma.span / 2, chroma.zero + chroma.span / 2) == (c_low, c_high)
    assert chroma.zero == 2 ** (signal.bits - 1)


@pytest.mark.parametrize("signal", SIGNALS, ids=ids)
@given(percent=st.floats(-7.0, 109.0))
def test_percent_and_code_round_trip_beyond_black_and_white(signal, percent):
    code = percent_to_code(percent, signal)
    assert code_to_percent(code, signal) == pytest.approx(percent, abs=1e-9)


@pytest.mark.parametrize("carriage", Carriage)
@pytest.mark.parametrize("limits", Range)
@given(percent=st.floats(-7.0, 109.0))
def test_percent_and_value_round_trip(carriage, limits, percent):
    value = percent_to_value(percent, carriage, limits)
    assert value_to_percent(value, carriage, limits) == pytest.approx(percent, abs=1e-9)


def test_full_carriage_is_the_whole_code_scale():
    # tests/reference/README: CV10 = 1023 v
    assert percent_to_value(100.0, Carriage.FULL, Range.LIMITED) == pytest.approx(940 / 1023)
    assert percent_to_value(0.0, Carriage.FULL, Range.LIMITED) == pytest.approx(64 / 1023)


@pytest.mark.parametrize("signal", SIGNALS, ids=ids)
def test_matrix_agrees_with_colour_science(signal):
    rng = np.random.default_rng(7)
    rgb = rng.uniform(0.0, 1.0, (40, 3))
    oracle = colour.RGB_to_YCbCr(
        rgb,
        K=colour.WEIGHTS_YCBCR[
            {"BT.709": "ITU-R BT.709", "BT.601": "ITU-R BT.601", "BT.2020": "ITU-R BT.2020"}[
                signal.matrix.value
            ]
        ],
        in_bits=signal.bits,
        in_legal=False,
        in_int=False,
        out_bits=signal.bits,
        out_legal=signal.range is Range.LIMITED,
        out_int=False,
    )
    back, forth = decoding(signal), encoding(signal)
    planes = rgb @ forth.matrix.T + forth.zero
    np.testing.assert_allclose((planes - back.zero) @ back.matrix.T, rgb, atol=1e-12)
    luma, chroma = luma_scale(signal), chroma_scale(signal)
    top = 2.0**signal.bits - 1.0
    if signal.range is Range.LIMITED:
        # colour-science's floats are codes over 2**bits - 1
        np.testing.assert_allclose(planes, oracle * top, atol=1e-6 * top)
    else:
        np.testing.assert_allclose((planes[:, 0] - luma.zero) / luma.span, oracle[:, 0], atol=1e-9)
        np.testing.assert_allclose(
            (planes[:, 1:] - chroma.zero) / chroma.span, oracle[:, 1:], atol=1e-9
        )


def test_rgb_needs_no_matrix_and_a_shift_is_undone():
    signal = Signal(10, Range.FULL, components=Components.RGB)
    np.testing.assert_allclose(np.diag(decoding(signal).matrix) * 1023, 1.0)
    shifted = decoding(Signal(10), shift=6)
    plain = decoding(Signal(10))
    code = np.array([500.0, 400.0, 600.0])
    np.testing.assert_allclose(
        shifted.matrix @ (code * 64 - shifted.zero), plain.matrix @ (code - plain.zero)
    )


@given(value=st.floats(0.07, 0.91), bits=st.integers(8, 16))
def test_a_stretched_link_keeps_the_nominal_level_of_the_link(value, bits):
    """From 64..940 to 0..1023: what was (code - 64) / 876 on the link is code / 1023 after it."""
    step = 2.0 ** (bits - 8)
    top = 2.0**bits - 1.0
    link = 1023.0 * value / 4.0 * step
    grabbed = (link - 16.0 * step) * top / (219.0 * step)
    signal = Signal(bits, Range.STRETCHED)
    percent = code_to_percent(grabbed, signal)
    assert percent_to_value(percent, Carriage.FULL, Range.STRETCHED) == pytest.approx(value)
    assert percent_to_value(percent, Carriage.NARROW, Range.STRETCHED) == pytest.approx(
        percent / 100.0
    )


def test_only_what_was_stretched_has_a_step_of_its_link():
    assert link_step(Signal(10, Range.STRETCHED)) == pytest.approx(1023 / 876)
    assert link_step(Signal(8, Range.STRETCHED)) == pytest.approx(255 / 219)
    assert link_step(Signal(10, Range.FULL)) == link_step(Signal(10)) == 0.0
