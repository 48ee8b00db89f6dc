"""Match on the bench: a second camera of another curve is brought to the first."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.feeds.bench.feed import BenchFeed
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.match.dialling import Dialling
from overlays.measure.match.match import Pair, compare, pair_of
from overlays.measure.match.remainder import remainder
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.wording.reasons import Reason

ocio = pytest.importorskip("PyOpenColorIO")

PINS = ("grey card", "white card", "chart 5G 5/8", "chart 5R 5/12", "skin 1", "skin 2")
GAMUT = published_gamut("BT.709")  # the bench's own primaries


LUMA = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6 item 3.2
MATRIX = np.array([[0.78, 0.17, 0.05], [0.1, 0.85, 0.05], [0.03, 0.17, 0.8]])
COLOURS = np.array([(0.3, 0.05, 0.04), (0.45, 0.3, 0.22), (0.06, 0.2, 0.07), (0.05, 0.08, 0.3)])


def opened(options, curve):
    return BenchFeed(
        f"cloud=0,size=960x540,signal=yuv444-10,{options}",
        clock=HandClock(),
        pace=Pace.STEP,
        curve=published_curve(curve),
    )


@lru_cache(maxsize=32)
def spots(options, curve):
    feed = opened(options, curve)
    frame = feed.read(1.0)
    # The bench's camera clips standard gamma at 100 %.
    clip = percent(100) if curve == "BT.709" else None
    yard = yardstick(frame.signal, published_curve(curve), shift=frame.shift, clip=clip)
    places = feed.things()
    names = [name for name in places if name in PINS]
    names += [name for name in places if name.startswith("chart")][:24:4]
    return [read_spot(frame, yard, shrunk(places[name])) for name in dict.fromkeys(names)]


def shrunk(place):
    return SpotPlace(place.column, place.row, max(6, place.size * 3 // 4))


def matched(a, b, dial=None):
    pairs = [pair_of(one, two) for one, two in zip(spots(*a), spots(*b), strict=True)]
    return compare(pairs, GAMUT, None if dial is None else WhitePoint(dial, 0.0))


A = ("exposure=0", "V-Log")


def test_a_camera_that_is_like_the_other_needs_nothing():
    found = matched(A, ("exposure=0,seed=9", "V-Log"))
    assert found.exposure_stops == pytest.approx(0.0, abs=0.01)
    assert found.r_stops == pytest.approx(0.0, abs=0.01)
    assert found.worst_stops < 0.03
    assert remainder(found, published_curve("V-Log")).cdl.is_nothing


@pytest.mark.parametrize("exposure", [-0.7, 0.4])
def test_a_lens_alone_leaves_nothing_once_it_is_set(exposure):
    found = matched(A, (f"exposure={exposure}", "V-Log"))
    assert found.exposure_stops == pytest.approx(-exposure, abs=0.02)
    assert found.worst_stops < 0.05


@pytest.mark.parametrize("curve", ["S-Log3", "BT.709", "F-Log2"])
@pytest.mark.parametrize(
    ("exposure", "kelvin", "dial"),
    [(-0.7, 5600, 5600), (0.4, 5600, 5000), (-1.0, 5600, 4300), (0.0, 5600, 6500)],
)
def test_following_a_match_brings_b_to_a_within_a_twentieth_of_a_stop(
    curve, exposure, kelvin, dial
):
    b = (f"exposure={exposure},kelvin={kelvin},dial={dial}", curve)
    found = matched(A, b, dial)
    moved = exposure + found.exposure_stops
    again = matched(
        A, (f"exposure={moved:.4f},kelvin={kelvin},dial={found.dial_to:.1f},seed=3", curve)
    )
    for pair in again.pairs:
        if pair.rgb_stops is not None:
            assert np.abs(pair.rgb_stops).max() < 0.05
            assert abs(pair.luminance_stops) < 0.05
    assert sum(pair.rgb_stops is not None for pair in again.pairs) >= 5


def test_the_dial_is_the_light_itself_where_a_is_balanced():
    found = matched(A, ("kelvin=5600,dial=4300", "S-Log3"), 4300)
    assert found.dial_to == pytest.approx(5600, abs=25)
    assert found.tint == pytest.approx(0.0, abs=0.3)
    # The step from 4300 K is 54 mired; cameras differ by 0.3 of it, 16 mired, 555 K at 5600 K.
    assert abs(found.dial_to - 5600) < found.dial_pm < 620
    assert found.r_stops > 0.2
    assert found.b_stops < -0.2


def test_what_dialling_moves_of_green_is_in_the_half_width_of_exposure():
    """Other cameras hold green still: exposure is then what it was without."""
    b = ("kelvin=5600,dial=4300", "S-Log3")
    plain, found = matched(A, b), matched(A, b, 4300)
    moved = abs(found.exposure_stops - plain.exposure_stops)
    assert moved > 0.01
    assert found.exposure_pm == pytest.approx(plain.exposure_pm + moved)


def test_without_a_dial_there_are_gains_alone():
    found = matched(A, ("dial=4300", "S-Log3"))
    assert found.dial_to is None
    assert found.r_stops > 0.2


def test_half_widths_cover_what_noise_did():
    found = matched(A, ("exposure=-1.3,seed=7", "S-Log3"))
    assert abs(found.exposure_stops - 1.3) <= found.exposure_pm + 0.002
    assert found.exposure_pm < 0.02


def test_a_clipped_pin_does_not_count_and_is_named():
    found = matched(A, ("exposure=1", "BT.709"))
    white = found.pairs[1]
    assert white.rgb_stops is None
    assert "camera B it is clipped" in white.why_not
    assert any("clipped" in each for each in found.warnings)
    assert found.exposure_stops == pytest.approx(-1.0, abs=0.02)


def test_a_pin_that_was_cut_off_below_does_not_count_and_is_named():
    whole = spots(*A)[2]
    cut = replace(whole, cut_off="the lowest code")
    assert pair_of(whole, whole).rgb_stops is not None
    pair = pair_of(whole, cut)
    assert pair.rgb_stops is None
    assert pair.why_not == f"on camera B it is {Reason.CUT_OFF.words}"


def test_no_pin_no_number():
    dark = replace(spots(*A)[0], stops=None)
    found = compare([pair_of(dark, spots(*A)[0])])
    assert found.exposure_stops is None
    assert "no pin" in found.warnings[-1]
    assert remainder(found, published_curve("V-Log")) is None


def bent(spot, curve, how):
    """A reading whose light is what `how` makes of its signal in a curve."""
    carried = published_curve(curve)
    rgb = carried.decode(how(carried.encode(np.array(spot.rgb_linear))))
    return replace(
        spot,
        rgb_linear=tuple(float(v) for v in rgb),
        luminance=float(rgb @ [0.2126, 0.7152, 0.0722]),
    )


def test_the_cdl_does_what_it_says_elsewhere():
    # Camera B renders with more contrast and less colour; exposure and balance cannot cure that.
    curve = published_curve("V-Log")

    def look(v):
        luma = (v @ [0.2126, 0.7152, 0.0722])[..., None]
        return 1.12 * (luma + 0.85 * (v - luma)) ** 1.15 + 0.01

    a = spots(*A)
    b = [bent(spot, "V-Log", look) for spot in a]
    match = compare([pair_of(one, two) for one, two in zip(a, b, strict=True)])
    rest = remainder(match, curve)
    assert not rest.cdl.is_nothing
    good = [pair.rgb_stops is not None for pair in match.pairs]
    wanted = np.array([p.a.rgb_linear for p, ok in zip(match.pairs, good, strict=True) if ok])
    before = wanted * 2.0 ** match.remains_stops[good]
    cdl = rest.cdl
    transform = ocio.CDLTransform(cdl.slope, cdl.offset, cdl.power, cdl.saturation)
    cpu = ocio.Config.CreateRaw().getProcessor(transform).getDefaultCPUProcessor()
    graded = np.array([cpu.applyRGB([*map(float, v)]) for v in curve.encode(before)])
    left = np.log2(curve.decode(graded) / wanted)
    assert left == pytest.approx(rest.left_stops, abs=2e-3)
    assert np.abs(left).max() < 0.5 * np.abs(match.remains_stops[good]).max()


def made(a, b):
    """A pin of linear light on both cameras, as sure as a good one."""
    spot = spots(*A)[0]
    one, two = (
        replace(spot, rgb_linear=tuple(map(float, light)), luminance=float(light @ LUMA))
        for light in (np.asarray(a, float), np.asarray(b, float))
    )
    stops = tuple(float(v) for v in np.log2(np.asarray(b) / np.asarray(a)))
    return Pair(one, two, stops, (0.004,) * 3, float(np.log2(two.luminance / one.luminance)))


def test_colours_alone_say_little_of_greys_and_the_half_width_knows():
    # B sees colours through another matrix, and greys as A does: 1.3 stops, said the issue.
    pairs = [made(light, MATRIX @ light) for light in COLOURS]
    found = compare(pairs)
    off = np.abs(np.array(found.gain_stops))
    assert off[0] - off[1] < found.balance_pm
    assert off[1] < found.exposure_pm
    assert found.balance_pm > 0.1
    assert any("no pin reads as a grey" in each for each in found.warnings)
    grey = compare([*pairs, made([0.18] * 3, [0.18] * 3)])
    assert grey.balance_pm < 0.1
    assert not any("no pin reads" in each for each in grey.warnings)


def test_no_pin_is_taken_for_surer_than_a_thousandth_of_a_stop():
    """A still without noise says that it is sure to the last digit; its pins would count alone."""
    sure, other = (
        made([light] * 3, [light * 2.0**by] * 3) for light, by in ((0.18, 0), (0.5, 0.1))
    )
    found = compare([replace(sure, rgb_pm=(0.0,) * 3), replace(other, rgb_pm=(0.001,) * 3)])
    # A variance of a millionth on top of both: the other counts for half as much, not for nothing.
    assert -found.exposure_stops == pytest.approx(0.1 / 3, abs=0.002)


def test_pins_that_are_alike_are_said_to_be():
    greys = [made([light] * 3, [0.9 * light] * 3) for light in (0.18, 0.3)]
    warned = compare(greys).warnings
    assert any("2 greys say nothing of colour" in each for each in warned)
    assert any("nothing of contrast" in each for each in warned)
    wide = [*greys, made([0.9] * 3, [0.81] * 3), made(COLOURS[0], COLOURS[0] * 0.9)]
    assert not any("contrast" in each or "of colour" in each for each in compare(wide).warnings)


def test_greys_are_known_under_a_light_that_a_is_not_set_to():
    cast = np.array([2.0, 1.0, 0.5])
    warm = [made(light * cast, 0.9 * light * cast) for light in (0.03, 0.18, 0.9)]
    found = compare(warm)
    assert not any("no pin reads" in each for each in found.warnings)
    assert found.exposure_pm < 0.02


def test_a_dial_that_is_known_no_better_than_itself_is_no_advice(monkeypatch):
    # Of the bench in V-Log, 2832 K was said, ±7671.
    vague = Dialling(WhitePoint(2832.0, 0.0), 7671.0, 0.3)
    monkeypatch.setattr("overlays.measure.match.match.dialling", lambda *_known: vague)
    found = matched(A, ("kelvin=5600,dial=4300", "S-Log3"), 4300)
    assert found.dial_to is None
    assert any(each.endswith("match by gains") for each in found.warnings)
    plain = matched(A, ("kelvin=5600,dial=4300", "S-Log3"))
    assert found.exposure_stops == plain.exposure_stops
