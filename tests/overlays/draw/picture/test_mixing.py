from itertools import product

import numpy as np
import pytest

from overlays.draw.picture.mixing import (
    KNEE_LEVEL,
    VIEW_LOW,
    VIEW_STEPS,
    _shown,
    mix,
    view_table,
)
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.carried import CarriedCurve
from overlays.signal.curves import Family
from overlays.signal.levels import decoding
from overlays.signal.published import published_curve, published_curves
from overlays.signal.quantities import stops
from overlays.signal.signal import Components, Matrix, Range, Signal, Subsampling

SQUEEZED = {Range.SQUEEZED, Range.SQUEEZED_TWICE}
SCALES = [1, 2, 3, 4, 6, 9, 15, 16, 25, 32]


@pytest.mark.parametrize("matrix", list(Matrix))
@pytest.mark.parametrize("code_range", list(Range))
def test_whole_numbers_fit_16_bits_and_are_the_matrix(matrix, code_range):
    for bits, scale in product((8, 9, 10, 12), SCALES):
        signal = Signal(bits=bits, range=code_range, matrix=matrix)
        drawn = min(bits, 10)
        made = mix(signal, drawn, scale)
        largest = ((1 << drawn) - 1) * scale
        # All bits that there are.
        assert largest << made.lift <= 32767 < largest << (made.lift + 1), (bits, scale)
        kept = 1 << (bits - drawn)
        exact = decoding(signal).matrix * 255.0 * 16.0 * 65536.0 * kept / (scale << made.lift)
        wanted = [exact[0, 0], exact[0, 2], exact[1, 1], exact[1, 2], exact[2, 1]]
        held = min(1.0, 32767 / np.abs(wanted).max())
        assert held == 1.0 or (code_range in SQUEEZED and held > 0.75), (bits, scale)
        np.testing.assert_allclose(made.gains, held * np.array(wanted), atol=0.5)


def test_the_widest_sums_do_not_wrap():
    for scale in SCALES:
        made = mix(Signal(bits=10, matrix=Matrix.BT2020), 10, scale)
        most = (1023 * scale) << made.lift
        swing = ((512 * scale) << made.lift) * int(np.abs(made.gains[1:]).max()) // 65536
        assert most * int(made.gains[0]) // 65536 + 2 * swing + 4080 < 32767


def test_refuses_codes_that_overflow():
    with pytest.raises(ValueError, match="overflow"):
        mix(Signal(bits=10), 10, 40)


def test_rgb_needs_one_gain():
    signal = Signal(components=Components.RGB, subsampling=Subsampling.S444, range=Range.FULL)
    assert mix(signal, 8, 1).gains[1:].tolist() == [0, 0, 0, 0]


def at(table, nominal):
    return int(table[round((nominal - VIEW_LOW) * VIEW_STEPS)])


def test_a_standard_picture_is_shown_as_it_is():
    assert view_table(yardstick(Signal(), published_curve("BT.709"))) is None


@pytest.mark.parametrize(
    "curve",
    [c for c in published_curves() if c.family is not Family.STANDARD],
    ids=lambda c: c.name,
)
def test_a_log_picture_is_shown_with_mid_grey_where_a_standard_camera_puts_it(curve):
    yard = yardstick(Signal(bits=10), curve)
    table = view_table(yard)
    assert table is not None
    mid = at(table, yard.carried.stops_to_percent(0.0) / 100.0)
    # ITU-R BT.709-6 item 1.2: 1.099 * 0.18**0.45 - 0.099 = 0.409 of the way up.
    assert mid == pytest.approx(0.409 * 255, abs=2)
    assert (np.diff(table.astype(int)) >= 0).all()
    assert table[0] <= 2  # an eighth below black; some curves have light even there
    clip = at(table, min(yard.clip_percent / 100.0, 1.24))
    assert clip >= 250


def test_highlights_of_a_log_picture_keep_apart_up_to_the_clip():
    yard = yardstick(Signal(bits=10), published_curve("ACEScct"))
    table = view_table(yard)
    assert table is not None
    levels = [at(table, yard.carried.stops_to_percent(s) / 100.0) for s in (2, 3, 4, 5, 6)]
    assert len(set(levels)) == 5


@pytest.mark.parametrize("clip", [-1.0, 0.5, 2.0])
def test_a_log_picture_that_clips_early_is_shown_as_a_standard_camera_would(clip):
    """Where the clip leaves no room for a shoulder, there is none: ITU-R BT.709-6 item 1.2."""
    yard = yardstick(Signal(bits=10), published_curve("ACEScct"), clip=stops(clip))
    table = view_table(yard)
    assert table is not None
    for stop in (-4.0, -2.0, -1.0, 0.0, 1.0, 2.0):
        light = 0.18 * 2.0**stop
        level = 1.099 * light**0.45 - 0.099 if light >= 0.018 else 4.5 * light
        there = yard.carried.stops_to_percent(stop) / 100.0
        assert at(table, there) == pytest.approx(255.0 * level, abs=2.0)


def test_a_shoulder_wants_half_a_stop_above_the_knee():
    curve, standard = published_curve("V-Log"), published_curve("BT.709")
    carried = CarriedCurve(curve, curve.carriage, Range.LIMITED)
    nominal = np.linspace(0.2, 0.9, 40)
    plain = standard.encode(np.maximum(carried.light(nominal), 0.0))
    knee = standard.value_to_stops(KNEE_LEVEL)
    assert np.array_equal(_shown(carried, nominal, knee + 0.4), plain)
    bent = _shown(carried, nominal, knee + 0.6)
    assert np.array_equal(bent[plain <= KNEE_LEVEL], plain[plain <= KNEE_LEVEL])
    at_clip, below = (carried.stops_to_percent(4.0 + n) / 100.0 for n in (0.0, -0.2))
    assert _shown(carried, np.array([at_clip]), 4.0)[0] == pytest.approx(1.0)
    assert 0.9 < _shown(carried, np.array([below]), 4.0)[0] < 0.9999
    assert not np.isclose(bent[plain > KNEE_LEVEL], plain[plain > KNEE_LEVEL]).any()
