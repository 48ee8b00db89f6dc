"""A spot: arithmetic by hand, words where a reading cannot stand, and invariances."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.errors import SpotOutsideError
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, default_size, read_spot
from overlays.measure.spot.steady import SteadySpot
from overlays.signal.frame import Frame, packed_rgb
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.signal.signal import Components, Range, Signal, Subsampling
from overlays.wording.reasons import Bound, Reason

BT709, V_LOG = published_curve("BT.709"), published_curve("V-Log")


def flat_frame(codes, signal=None, size=64):
    signal = signal or Signal(10, subsampling=Subsampling.S444)
    dtype = np.uint8 if signal.bits == 8 else np.uint16
    return Frame(tuple(np.full((size, size), c, dtype) for c in codes), signal)


def read(frame, curve=BT709, **options):
    yard = yardstick(frame.signal, curve, shift=frame.shift, **options)
    return read_spot(frame, yard, SpotPlace(32, 32, 48))


def test_mid_grey_on_the_log_curve_that_has_it_at_42_percent():
    # V-Log/V-Gamut Reference Manual Rev.1.0: 18 % is code 433 of 10 bits, 42 %
    spot = read(flat_frame((433, 512, 512)), V_LOG)
    assert spot.percent == pytest.approx(42.1, abs=0.05)
    assert spot.stops == pytest.approx(0.0, abs=0.01)
    assert spot.code == (433.0, 512.0, 512.0)
    assert spot.rgb_stops == pytest.approx((spot.stops,) * 3)
    assert abs(spot.stops) <= spot.stops_pm
    # half a code of 70.93 codes a stop (tests/reference/curves.csv, slope10_mid)
    assert spot.stops_pm == pytest.approx(0.5 / 70.93, rel=0.03)
    assert spot.percent_pm == pytest.approx(0.5 / 8.76, rel=0.01)


def test_luminance_is_taken_from_linear_rgb_not_from_luma():
    # 75 % red of RP 219 (tests/reference): Y' 204, Cb 435, Cr 848; R' = 0.75 through BT.709-6
    spot = read(flat_frame((204, 435, 848)))
    linear = ((0.75 + 0.099) / 1.099) ** (1 / 0.45)
    assert spot.stops == pytest.approx(math.log2(0.2126 * linear / 0.18), abs=0.02)
    luma_only = math.log2((((204 - 64) / 876 + 0.099) / 1.099) ** (1 / 0.45) / 0.18)
    assert spot.stops - luma_only > 1.0


def test_light_is_averaged_not_codes():
    luma = np.full((64, 64), 64, np.uint16)
    luma[:, 32:] = 940
    chroma = np.full((64, 64), 512, np.uint16)
    frame = Frame((luma, chroma, chroma), Signal(10, subsampling=Subsampling.S444))
    spot = read(frame)
    assert spot.luminance == pytest.approx(0.5, abs=1e-6)
    assert spot.percent == pytest.approx(50.0)


def test_codes_below_black_keep_their_sign():
    noise = np.random.default_rng(2).integers(54, 75, (64, 64)).astype(np.uint16)
    chroma = np.full((64, 64), 512, np.uint16)
    frame = Frame((noise, chroma, chroma), Signal(10, subsampling=Subsampling.S444))
    spot = read(frame)
    assert spot.luminance == pytest.approx((noise[8:56, 8:56].mean() - 64) / 876 / 4.5, abs=1e-7)
    assert spot.below_floor > 0.4


def test_below_black_there_are_no_stops_and_it_says_so():
    spot = read(flat_frame((50, 512, 512)))
    assert spot.percent == pytest.approx(-1.6, abs=0.01)
    assert (spot.stops, spot.stops_pm) == (None, None)
    assert any("no light above black" in w for w in spot.warnings)
    assert spot.below_floor == 1.0


def test_where_the_plus_minus_reaches_no_light_it_is_not_made_up():
    spot = read(flat_frame((16, 128, 128), Signal(8, subsampling=Subsampling.S444)))
    assert spot.stops is None
    near = read(flat_frame((16 * 4 + 1, 512, 512)))
    assert near.stops is not None
    assert near.stops_pm is not None
    one = read(flat_frame((8, 8, 8), _rgb8()), published_curve("BT.1886"))
    assert one.stops_pm is not None


def _rgb8():
    return Signal(8, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444)


def test_clipping_is_counted_and_named_by_channel():
    spot = read(flat_frame((940, 512, 512)), clip=percent(100))
    assert (spot.clipped, spot.clipped_rgb) == (1.0, (1.0, 1.0, 1.0))
    assert any("clipped (RGB)" in w for w in spot.warnings)
    red = read(flat_frame((250, 409, 960)), clip=percent(100))  # 100 % red of BT.709, 10 bit
    assert red.clipped_rgb == (1.0, 0.0, 0.0)
    assert not read(flat_frame((930, 512, 512)), clip=percent(100)).clipped


def test_the_clip_is_the_profiles():
    frame = flat_frame((960, 512, 512))
    assert read(frame, clip=percent(100)).clipped == 1.0
    assert read(frame, clip=percent(109)).clipped == 0.0


def test_super_white_is_picture_unless_the_profile_says_otherwise():
    # 104.9 %: ITU-R BT.709-6 item 4 has picture up to 1019 (tests/reference/levels.csv).
    assert read(flat_frame((983, 512, 512))).clipped == 0.0
    assert read(flat_frame((1019, 512, 512))).clipped == 1.0


def test_rgb_frames_need_no_matrix():
    buffer = np.full(64 * 64 * 3, 118, np.uint8)
    spot = read(Frame(packed_rgb(buffer, 64, 64), _rgb8()), published_curve("sRGB"))
    # tests/reference/levels.csv: 18 % by sRGB is code 118 of full-range RGB, 46.14 %
    assert spot.percent == pytest.approx(46.27, abs=0.01)
    assert abs(spot.stops) <= spot.stops_pm


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 50), column=st.integers(8, 40), row=st.integers(8, 40))
def test_a_spot_reads_only_its_own_pixels(seed, column, row):
    rng = np.random.default_rng(seed)
    planes = [rng.integers(64, 941, (48, 48)).astype(np.uint16) for _ in range(3)]
    place = SpotPlace(column, row, 8)
    signal = Signal(10, subsampling=Subsampling.S444)
    yard = yardstick(signal, V_LOG)
    before = read_spot(Frame(tuple(planes), signal), yard, place)
    inside = np.zeros((48, 48), bool)
    inside[place.top : place.top + 8, place.left : place.left + 8] = True
    others = [np.where(inside, p, 512).astype(np.uint16) for p in planes]
    after = read_spot(Frame(tuple(others), signal), yard, place)
    assert after.luminance == before.luminance
    assert after.code == pytest.approx(tuple(float(p[inside].mean()) for p in planes))


def test_shifted_samples_read_the_same():
    frame = flat_frame((433, 500, 530))
    moved = Frame(tuple(p << 6 for p in frame.planes), frame.signal, shift=6)
    a, b = read(frame, V_LOG), read(moved, V_LOG)
    assert a.code == b.code
    assert (a.stops, a.stops_pm) == pytest.approx((b.stops, b.stops_pm))


@pytest.mark.parametrize(
    "place", [SpotPlace(2, 32, 48), SpotPlace(32, 60, 48), SpotPlace(99, 9, 4), SpotPlace(5, 5, 1)]
)
def test_a_spot_that_sticks_out_is_refused(place):
    frame = flat_frame((433, 512, 512))
    with pytest.raises(SpotOutsideError, match=r"64x64 picture|at least 2x2"):
        read_spot(frame, yardstick(frame.signal, V_LOG), place)


def test_usual_size_is_even_and_grows_with_the_picture():
    assert [default_size(rows) for rows in (2, 480, 720, 1080, 2160)] == [2, 22, 32, 48, 96]


def test_the_plus_minus_of_a_ratio_can_be_asked_for():
    spot = read(flat_frame((500, 500, 540)), V_LOG)
    red, green, _ = spot.rgb_linear
    gradient = np.array([1 / red, -1 / green, 0.0]) / math.log(2)
    assert 0.0 < spot.errors.pm(gradient) < 0.2


@pytest.mark.parametrize("chroma", [(513, 512), (512, 511), (514, 510), (511, 514)])
def test_black_with_chroma_a_code_off_is_no_light(chroma):
    # issue: read -53 to -58 stops, the residue of a sum that should be 0
    spot = read(flat_frame((64, *chroma)))
    assert (spot.stops, spot.stops_pm) == (None, None)
    assert any("no light above black" in w for w in spot.warnings)


def test_each_channel_has_its_plus_minus():
    spot = read(flat_frame((433, 500, 530)), V_LOG)
    for k in range(3):
        half = spot.errors.pm(np.eye(3)[k]) / spot.rgb_linear[k]
        assert spot.rgb_stops_pm[k] == pytest.approx(-math.log2(1.0 - half))


def test_a_dark_saturated_channel_has_no_plus_minus_it_cannot_have():
    # 8 bits: a code of chroma is 1.86 codes of B'; here B' is less than that above black
    spot = read(flat_frame((40, 115, 128), Signal(8, subsampling=Subsampling.S444)))
    assert spot.rgb_stops_pm[0] is not None
    assert spot.rgb_stops_pm[2] is None


def test_a_clipped_channel_has_no_plus_minus():
    red = read(flat_frame((250, 409, 960)), clip=percent(100))
    assert red.rgb_stops_pm[0] is None


def test_eight_bit_content_in_ten_bit_codes_is_read_and_said():
    # issue: ZeroDivisionError; the truth is a level between two codes that are four apart
    rng = np.random.default_rng(5)
    for noise in (0.1, 0.15, 0.2):
        for level in np.linspace(100.0, 101.0, 11):
            luma = np.full((64, 160), 0.0)
            luma[:, :64] = level + rng.normal(0, noise, (64, 64))
            luma[:, 64:] = np.arange(96) + 40.0  # the rest of the picture
            codes = (4 * np.rint(luma)).astype(np.uint16)
            grey = np.full_like(codes, 512)
            frame = Frame((codes, grey, grey), Signal(10, subsampling=Subsampling.S444))
            spot = read(frame, V_LOG)
            assert abs(spot.code[0] - 4 * level) <= spot.percent_pm * 8.76
            assert any("10-bit feed, 8-bit content" in w for w in spot.warnings)


def test_noise_cut_at_black_leaves_no_plus_minus():
    drawn = np.random.default_rng(3).normal(68, 4.0, (64, 64))
    luma = np.maximum(np.rint(drawn), 64).astype(np.uint16)
    grey = np.full_like(luma, 512)
    spot = read(Frame((luma, grey, grey), Signal(10, subsampling=Subsampling.S444)))
    assert spot.stops is not None
    assert spot.stops_pm is None
    assert any("cut off at black" in w for w in spot.warnings)


def test_where_a_channel_may_be_clipped_there_is_no_plus_minus_and_it_says_so():
    frame = flat_frame((800, 512, 512))
    yard = yardstick(frame.signal, V_LOG)
    place = SpotPlace(32, 32, 48)
    sure = read_spot(frame, yard, place)
    spot = read_spot(frame, yard.under(None, (84.0, None, None)), place)
    assert None not in (sure.stops_pm, sure.percent_pm, *sure.rgb_stops_pm)
    assert (spot.may_clip, spot.stops, spot.percent) == ("R", sure.stops, sure.percent)
    assert (spot.stops_pm, spot.percent_pm) == (None, None)
    assert spot.rgb_stops_pm == (None, *sure.rgb_stops_pm[1:])
    assert spot.unknown is Reason.PERHAPS_CLIPPED
    assert spot.bound is None
    (said,) = spot.warnings
    assert said.startswith("the spot may be clipped by the camera (R), so there is no ±")


def test_frames_give_no_plus_minus_to_what_may_be_clipped():
    frame = flat_frame((800, 512, 512))
    yard = yardstick(frame.signal, V_LOG).under(None, (84.0, 84.0, 84.0))
    steady = SteadySpot(yard)
    spots = [steady.add(read_spot(frame, yard, SpotPlace(32, 32, 48))) for _ in range(12)]
    assert {(s.stops_pm, s.percent_pm, s.rgb_stops_pm) for s in spots} == {
        (None, None, (None,) * 3)
    }


@pytest.mark.parametrize(("columns", "sigma", "said"), [(12, 0, "G"), (1, 0, "G"), (0, 4, "")])
def test_a_spot_that_may_be_clipped_in_part_has_no_plus_minus_either(columns, sigma, said):
    """Part of it on a pile that may be a ceiling; noise that reaches there is no such thing."""
    signal = Signal(10, subsampling=Subsampling.S444)
    luma = (
        780.0 + np.random.default_rng(1).normal(0.0, sigma, (64, 64))
        if sigma
        else np.full((64, 64), 600.0)
    )
    luma[:, 32 : 32 + columns] = 800.0
    grey = np.full((64, 64), 512, np.uint16)
    frame = Frame((np.rint(luma).astype(np.uint16), grey, grey.copy()), signal)
    limit = 84.0 + 0.2 if not sigma else 100.0 * (790.0 - 64.0) / 876.0
    yard = yardstick(signal, V_LOG).under(None, (None, limit, None))
    spot = read_spot(frame, yard, SpotPlace(32, 32, 48))
    assert spot.may_clip == said
    assert (spot.stops_pm is None, spot.rgb_stops_pm[1] is None) == (bool(said), bool(said))
    assert spot.rgb_stops_pm[0] is not None


def cut_off_spots(curve, bits, noise, above):
    """(true stops, reading) of even light so many codes above black, which noise makes 8 spots of.

    The lower half of the noise lies below black; the camera, or limited range itself, cuts there.
    """
    signal = Signal(bits=bits)
    yard, sizes = yardstick(signal, published_curve(curve)), (96, 96)
    black, unit = yard.decoding.zero[0], 2.0 ** (bits - 8)
    truth = float(yard.carried.light(np.array([above / (219.0 * unit)]))[0])
    for seed in range(8):
        rng = np.random.default_rng(seed)
        luma = np.rint(black + above + rng.normal(0.0, noise, sizes)).clip(black)
        kind = np.uint8 if bits == 8 else np.uint16
        half = (sizes[0] // signal.subsampling.rows, sizes[1] // signal.subsampling.columns)
        grey = np.full(half, 128 * round(unit), kind)
        frame = Frame((luma.astype(kind), grey, grey), signal)
        yield math.log2(truth / 0.18), read_spot(frame, yard, SpotPlace(48, 48, 8))


@pytest.mark.parametrize("bits", [8, 10])
def test_light_of_which_noise_is_cut_off_is_at_most_what_is_said(bits):
    """With less noise than a code rounding leaves it out of the mean, which read stops too low."""
    bounds = holds = 0
    for noise in (0.1, 0.2, 0.3, 0.5, 1.0, 2.0):
        for above in (0.1, 0.3, 0.45, 1.0):
            for true, spot in cut_off_spots("BT.709", bits, noise, above):
                if spot.bound is Bound.AT_MOST:
                    bounds += 1
                    holds += true <= spot.stops
                    assert spot.stops_pm is None
    assert bounds >= 100
    assert holds >= 0.975 * bounds  # one end of a half width at 95 %
