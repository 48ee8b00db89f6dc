"""Clip, floor and margins as a profile resolves on a signal."""

from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.counting.clip import clip_margin_percent
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.carried import CarriedCurve
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Components, Matrix, Range, Signal, Subsampling

BT709, V_LOG = published_curve("BT.709"), published_curve("V-Log")


def test_standard_gamma_carries_super_white_and_log_clips_at_the_top_code():
    # ITU-R BT.709-6 item 4 (tests/reference/levels.csv): picture goes up to 254 and 1019.
    assert yardstick(Signal(10), BT709).clip_percent == pytest.approx((1019 - 64) / 8.76)
    assert yardstick(Signal(8), BT709).clip_percent == pytest.approx((254 - 16) / 2.19)
    assert yardstick(Signal(10, Range.FULL), BT709).clip_percent == pytest.approx(100.0)
    ten = yardstick(Signal(10), V_LOG)
    assert ten.clip_percent == pytest.approx((1023 - 64) / 8.76)
    # tests/reference/curves.csv, V-Log full: 8.000 stops at code 1023
    assert ten.clip_stops == pytest.approx(8.0, abs=0.001)


def test_a_log_curve_cannot_clip_above_the_signals_top_code():
    assert yardstick(Signal(8), V_LOG).clip_percent == pytest.approx((255 - 16) / 2.19)


def test_narrow_carriage_brings_the_clip_to_100_percent():
    assert yardstick(Signal(10), V_LOG, Carriage.NARROW).clip_percent == pytest.approx(100.0)


def test_the_floor_is_one_code_above_black_unless_given():
    yard = yardstick(Signal(10), V_LOG)
    # tests/reference/curves.csv: V-Log's black at code 127.88
    assert 64 + 8.76 * yard.floor_percent == pytest.approx(128.88, abs=0.01)
    assert yardstick(Signal(10), V_LOG, floor=stops(-6)).floor_stops == pytest.approx(-6.0)


def test_a_profile_moves_the_clip():
    assert yardstick(Signal(10), BT709, clip=percent(109)).clip_percent == 109.0
    assert yardstick(Signal(10), V_LOG, clip=stops(6)).clip_stops == pytest.approx(6.0)


def test_margin_is_rounding_of_the_planes_carried_to_rgb():
    # B' = Y' + 1.8556 Cb: half a code of luma (219) and 1.8556 halves of chroma (224)
    assert clip_margin_percent(Signal()) == pytest.approx(50 / 219 + 50 * 1.8556 / 224)
    rgb = Signal(8, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444)
    assert clip_margin_percent(rgb) == pytest.approx(50 / 255)


# ITU-R BT.709-6 item 4 (tests/reference/levels.csv): the highest code of video is 254 of 8 bits,
# 1019 of 10, 16 codes short of the top of 12; a clipped log picture cannot arrive above it.
@pytest.mark.parametrize(("bits", "highest"), [(8, 254), (10, 1019), (12, 4079)])
def test_a_log_picture_that_lies_on_the_highest_code_of_video_is_clipped(bits, highest):
    signal = Signal(bits, subsampling=Subsampling.S444)
    yard = yardstick(signal, V_LOG)

    def clipped(code, **limits):
        planes = [np.full((8, 8), c, np.uint16) for c in (code, 1 << bits - 1, 1 << bits - 1)]
        measured = yardstick(signal, V_LOG, **limits) if limits else yard
        return read_spot(Frame(tuple(planes), signal), measured, SpotPlace(4, 4, 8)).clipped

    assert clipped(highest) == 1.0
    assert clipped(highest - (1 << bits - 8)) == 0.0
    assert clipped(highest, clip=percent(110)) == 1.0


def test_full_range_reserves_no_code():
    signal = Signal(10, Range.FULL, subsampling=Subsampling.S444)
    assert yardstick(signal, V_LOG).clip_margin_percent == clip_margin_percent(signal)


def test_weights_are_the_signals():
    yard = yardstick(Signal(matrix=Matrix.BT2020), BT709)
    assert tuple(yard.weights) == Matrix.BT2020.weights


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("carried", lambda yard: CarriedCurve(V_LOG, Carriage.NARROW, yard.signal.range)),
        ("table", lambda yard: replace(yard.table)),
        ("decoding", lambda yard: replace(yard.decoding)),
        ("weights", lambda yard: yard.weights.copy()),
        ("shift", lambda yard: yard.shift + 6),
        ("clip_percent", lambda yard: yard.clip_percent - 1.0),
        ("floor_percent", lambda yard: yard.floor_percent + 1.0),
        ("doubts", lambda yard: (*yard.doubts, 90.0)),
    ],
)
def test_yardsticks_read_alike_where_no_part_and_no_limit_is_another(name, other):
    yard = yardstick(Signal(10), BT709)
    assert yard.reads_as(replace(yard))
    assert not yard.reads_as(replace(yard, **{name: other(yard)}))
