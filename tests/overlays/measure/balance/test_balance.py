"""Balance on frames that colour-science makes of lights of known temperature and Duv."""

import colour
import numpy as np
import pytest

from overlays.measure.balance.balance import BalanceSettings, _length_pm, read_balance
from overlays.measure.colour.whitepoint import THREE_STEPS, WhitePoint
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal, Subsampling
from tests.colour_frames import adapted, card, frame_of, light_xyz, to_rgb

PAIRS = [("BT.709", "BT.709"), ("V-Log", "V-Gamut"), ("S-Log3", "S-Gamut3.Cine")]
D65_XYZ = colour.xy_to_XYZ((0.3127, 0.3290))
MIDDLE = SpotPlace(32, 32, 60)


def read(frame, curve, gamut, dial=None, place=MIDDLE):
    settings = BalanceSettings(published_gamut(gamut), dial)
    return read_balance(frame, yardstick(frame.signal, published_curve(curve)), place, settings)


def seen(xyz, gamut, level=0.4):
    rgb = to_rgb(xyz, gamut)
    return card(level * rgb / rgb.max())


@pytest.mark.parametrize(("curve", "gamut"), PAIRS)
@pytest.mark.parametrize("kelvin", [2700.0, 3200.0, 4300.0, 5600.0, 6500.0, 7500.0])
@pytest.mark.parametrize("duv", [-0.01, 0.0, 0.01])
def test_ten_bit_finds_the_light(curve, gamut, kelvin, duv):
    frame = frame_of(seen(light_xyz(kelvin, duv), gamut), curve, 10, noise=1.0)
    found = read(frame, curve, gamut)
    assert found.cct == pytest.approx(kelvin, rel=0.01)
    assert found.duv == pytest.approx(duv, abs=0.001)


@pytest.mark.parametrize("noise", [0.0, 0.4, 1.5])
@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize(("curve", "gamut"), PAIRS)
def test_the_half_widths_cover_the_truth(curve, gamut, bits, noise):
    rng = np.random.default_rng([bits, len(gamut), int(noise * 10)])
    hits, cases = np.zeros(4), 60
    for seed in range(cases):
        kelvin, duv = 1e6 / rng.uniform(133.0, 370.0), rng.uniform(-0.01, 0.01)
        linear = seen(light_xyz(kelvin, duv), gamut, rng.uniform(0.1, 0.6))
        found = read(frame_of(linear, curve, bits, noise, seed), curve, gamut)
        red, green, blue = linear[0, 0]
        hits += (
            abs(found.cct - kelvin) <= found.cct_pm,
            abs(found.duv - duv) <= found.duv_pm,
            abs(found.r_stops - np.log2(red / green)) <= found.r_stops_pm,
            abs(found.b_stops - np.log2(blue / green)) <= found.b_stops_pm,
        )
    # 95 % wanted; 60 tries of 0.95 fall below 52 in one of 500.
    assert hits.min() >= 52, hits / cases


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize("dial", [3200.0, 4300.0, 6500.0])
@pytest.mark.parametrize(("curve", "gamut"), PAIRS)
def test_one_step_lands(curve, gamut, dial, bits):
    light, white = light_xyz(5600.0, 0.006), light_xyz(dial, 0.0)
    first = read(
        frame_of(seen(adapted(light, white, D65_XYZ), gamut), curve, bits, noise=bits / 8.0),
        curve,
        gamut,
        WhitePoint(dial, 0.0),
    )
    assert first.in_tolerance is False
    assert first.tint == pytest.approx(6.0, abs=0.5 if bits == 10 else 1.5)
    if bits == 10:
        assert first.dial_to == pytest.approx(5600.0, abs=50.0)
    assert abs(first.dial_to - 5600.0) <= max(first.dial_to_pm, 50.0)
    told = WhitePoint(first.dial_to, first.tint / 1000.0)
    landed = adapted(light, light_xyz(told.kelvin, told.duv), D65_XYZ)
    second = read(
        frame_of(seen(landed, gamut), curve, bits, noise=bits / 8.0, seed=2), curve, gamut, told
    )
    assert second.in_tolerance is True
    assert second.off_neutral < THREE_STEPS


def test_shift_and_sheet_follow_the_sign_of_the_trade():
    # A 3200 K lamp under a camera dialled to 5600 K: -134 mired, a full CTB on the lamp.
    shown = adapted(light_xyz(3200.0, 0.0), light_xyz(5600.0, 0.0), D65_XYZ)
    found = read(frame_of(seen(shown, "BT.709")), "BT.709", "BT.709", WhitePoint(5600.0, 0.0))
    assert found.mired_shift == pytest.approx(-133.9, abs=3.0)
    assert found.sheet.name == "full CTB"
    assert found.sheet_leaves_mired == pytest.approx(3.1, abs=3.0)
    assert found.r_stops > 0.0 > found.b_stops


def test_without_a_dial_nothing_is_advised_to_dial():
    found = read(frame_of(seen(light_xyz(3200.0, 0.0), "BT.709")), "BT.709", "BT.709")
    assert found.dial_to is None
    # From 3200 K to D65, whose temperature by Ohno (2013) is 6504.3 K and Duv 0.00321.
    assert found.mired_shift == pytest.approx(153.74 - 312.5, abs=2.0)
    assert found.tint == pytest.approx(-3.21, abs=0.5)


def test_chroma_percent_is_that_of_the_codes():
    planes = tuple(np.full((64, 64), code, np.uint16) for code in (500, 512 + 30, 512 - 40))
    frame = Frame(planes, Signal(bits=10, subsampling=Subsampling.S444))
    found = read(frame, "BT.709", "BT.709")
    # Full chroma, C' = 0.5, is 448 codes from the middle (ITU-R BT.709-6, 10 bits).
    assert found.chroma_percent == pytest.approx(100.0 * 50.0 / 448.0, rel=1e-3)
    assert 0.0 < found.chroma_percent_pm < 0.3


@pytest.mark.parametrize("degrees", range(0, 360, 20))
def test_where_nobody_knows_which_way_off_neutral_its_pm_is_the_widest(degrees):
    """Where an exact neutral points is what the last bit says, which is the processor's."""
    frame = frame_of(card([0.3, 0.3, 0.3]))
    errors = read_spot(frame, yardstick(frame.signal, published_curve("BT.709")), MIDDLE).errors
    slopes = np.array([[1.0, -1.0, 0.0], [0.0, -0.2, 0.2]])
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    along = errors.pm(way @ slopes)
    none = _length_pm(errors, np.zeros(2), slopes)
    assert _length_pm(errors, 1e-17 * way, slopes) == none
    assert _length_pm(errors, 0.9 * none * way, slopes) == none
    assert along <= 1.02 * none
    assert _length_pm(errors, 1.1 * none * way, slopes) == pytest.approx(along)


def test_a_neutral_card_is_in_tolerance():
    found = read(frame_of(card([0.3, 0.3, 0.3])), "BT.709", "BT.709")
    assert found.in_tolerance is True
    assert abs(found.r_stops) < 0.01
    assert found.cct == pytest.approx(6504.3, rel=0.01)


def with_corner(level):
    linear = np.full((64, 64, 3), 0.3)
    linear[:, 40:] *= level
    return linear


@pytest.mark.parametrize(
    ("linear", "sentence"),
    [
        (card([1.2, 0.5, 0.5]), "clipped in red"),
        (card([0.004, 0.004, 0.004]), "too dark"),
        (card([0.0, 0.0, 0.0]), "too dark"),
        (with_corner(0.5), "uneven by 1.0 stops"),
        (with_corner(np.array([1.15, 1.0, 0.9])), "two lights"),
        (card([0.1, 0.4, 0.1]), "coloured too strongly"),
    ],
)
def test_refusals_give_a_reason_and_no_numbers(linear, sentence):
    found = read(frame_of(linear, noise=1.0), "BT.709", "BT.709")
    assert sentence in found.refusal
    for name in ("cct", "duv", "r_stops", "dial_to", "tint", "in_tolerance", "mired_shift"):
        assert getattr(found, name) is None


def test_a_wide_half_width_is_said():
    found = read(
        frame_of(card([0.03, 0.03, 0.03]), "S-Log3", 8), "S-Log3", "S-Gamut3", place=MIDDLE
    )
    assert any("wider than the tolerance" in sentence for sentence in found.warnings)


def test_the_usual_tolerance_is_three_of_the_steps_of_cie_tn_001():
    # CIE TN 001:2014, seen second-hand: a step is a circle of 0.0011 in u', v'.
    assert pytest.approx(3 * 0.0011) == BalanceSettings(published_gamut("BT.709")).tolerance


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(("duv", "is_light"), [(0.012, True), (0.027, True), (0.035, False)])
def test_a_light_within_a_few_of_the_widest_white_lamps_is_one(duv, is_light, side):
    # ANSI C78.377: lamps sold as white stay within 0.006; a few times that is an ageing one.
    rgb = to_rgb(light_xyz(5000.0, side * duv), "BT.709")
    found = read(frame_of(card(0.3 * rgb), noise=0.5), "BT.709", "BT.709")
    assert (found.refusal is None) is is_light
    if not is_light:
        assert "coloured too strongly" in found.refusal
