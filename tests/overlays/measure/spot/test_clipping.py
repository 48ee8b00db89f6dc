"""What clipping hides: noise by Monte Carlo, glints by hand, and no ± on what is clipped."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.clipping import _steepest, hidden_light, noise_over
from overlays.measure.spot.spot import CLIPPED_SHARE, SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.quantities import stops as stops_level
from overlays.signal.signal import Components, Range, Signal, Subsampling
from overlays.wording.reasons import Bound, Reason
from tests.places import HANDBOOK

V_LOG = published_curve("V-Log")
SIGNAL = Signal(10, Range.FULL, components=Components.RGB, subsampling=Subsampling.S444)
PLACE = SpotPlace(32, 32, 48)
CLIP_STOPS = 6.0


def lit(light, noise_codes=0.0, seed=0):
    """A frame of light (rows, columns) by an encoder of its own: V-Log's published formula."""
    # V-Log/V-Gamut Reference Manual Rev.1.0: b, c, d and the break at 0.01
    linear = np.minimum(light, 0.18 * 2.0**CLIP_STOPS)
    value = np.where(
        linear < 0.01, 5.6 * linear + 0.125, 0.241514 * np.log10(linear + 0.00873) + 0.598206
    )
    rng = np.random.default_rng(seed)
    codes = [1023.0 * value + rng.normal(0.0, noise_codes, light.shape) for _ in range(3)]
    top = 1023.0 * (0.241514 * math.log10(0.18 * 2.0**CLIP_STOPS + 0.00873) + 0.598206)
    planes = [np.rint(np.clip(c, 0.0, top)).astype(np.uint16) for c in codes]
    return Frame(tuple(planes), SIGNAL)


def read(frame):
    yard = yardstick(SIGNAL, V_LOG, clip=stops_level(CLIP_STOPS))
    return read_spot(frame, yard, PLACE)


def even(stops, size=64):
    return np.full((size, size), 0.18 * 2.0**stops)


@pytest.mark.parametrize("share", [0.03, 0.2, 0.5, 0.81, 1.0])
def test_a_clipped_spot_is_at_least_what_it_reads(share):
    light = even(2.0)
    light[:, : round(8 + 48 * share)] = 0.18 * 2.0**9
    spot = read(lit(light))
    assert spot.clipped == pytest.approx(share, abs=0.02)
    assert (spot.bound, spot.unknown) == (Bound.AT_LEAST, Reason.CLIPPED)
    assert (spot.stops_pm, spot.percent_pm) == (None, None)
    assert spot.rgb_stops_pm == (None, None, None)
    assert spot.rgb_bounds == (Bound.AT_LEAST,) * 3
    truth = math.log2(light[8:56, 8:56].mean() / 0.18)
    assert spot.stops <= truth


def test_one_glint_leaves_the_number_and_no_plus_minus():
    """A share p of unknown light above has no upper bound: 4 of 2304 pixels, 64 times the clip."""
    light = even(3.0)
    light[30:32, 30:32] = 0.18 * 2.0**12
    spot = read(lit(light, noise_codes=1.0))
    assert 0.0 < spot.clipped < CLIPPED_SHARE
    truth = math.log2(light[8:56, 8:56].mean() / 0.18)
    assert truth - spot.stops > 0.5  # what any ± of noise would have missed
    assert spot.bound is None
    assert (spot.stops_pm, spot.unknown) == (None, Reason.PARTLY_CLIPPED)
    assert any("0.2 % of the spot is clipped (RGB)" in each for each in spot.warnings)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("beneath", [1.2, 1.8, 2.5])
def test_noise_alone_at_the_clip_is_held_by_the_plus_minus(beneath, seed):
    noise = 6.0
    # beneath: the level, in deviations of the noise under the clip; 71 codes are a stop
    stops = CLIP_STOPS - beneath * noise / 71.0
    spot = read(lit(even(stops), noise_codes=noise, seed=seed))
    assert spot.clipped > 0.0
    if spot.clipped > CLIPPED_SHARE:
        assert spot.stops_pm is None
        return
    assert spot.unknown is None
    assert abs(spot.stops - stops) <= spot.stops_pm


@pytest.mark.parametrize("code_below", [1, 2, 4])
def test_a_patch_in_the_top_codes_that_is_not_clipped_keeps_its_plus_minus(code_below):
    """The code of the clip cannot be told from it, the one below can: rounding is half a code."""
    yard = yardstick(SIGNAL, V_LOG)
    plane = np.full((64, 64), 1023 - code_below, np.uint16)
    spot = read_spot(Frame((plane, plane, plane), SIGNAL), yard, PLACE)
    assert (spot.clipped, spot.bound, spot.unknown) == (0.0, None, None)
    assert spot.stops_pm is not None


def test_whoever_counts_a_spot_as_clipped_takes_its_plus_minus():
    """A ceiling that is found later is marked on the reading: one way to be clipped."""
    spot = read(lit(even(3.0), noise_codes=1.0))
    assert spot.stops_pm is not None
    marked = replace(spot, clipped=0.6, clipped_rgb=(0.6, 0.0, 0.0))
    assert (marked.stops_pm, marked.percent_pm) == (None, None)
    assert marked.bound is Bound.AT_LEAST
    assert marked.rgb_bounds == (Bound.AT_LEAST, None, None)
    assert marked.rgb_stops_pm == (None, *spot.rgb_stops_pm[1:])
    little = replace(spot, clipped=0.01, clipped_rgb=(0.01, 0.0, 0.0))
    assert (little.stops_pm, little.bound) == (None, None)


@settings(max_examples=60, deadline=None)
@given(
    stops=st.floats(-5.0, 8.0),
    noise=st.floats(0.0, 8.0),
    share=st.floats(0.0, 1.0),
    above=st.floats(0.0, 6.0),
    seed=st.integers(0, 99),
)
def test_no_plus_minus_stands_beside_clipped_light_that_it_does_not_cover(
    stops, noise, share, above, seed
):
    light = even(stops)
    light[:, : round(64 * share)] = 0.18 * 2.0 ** min(stops + above, 14.0)
    spot = read(lit(light, noise, seed))
    truth = math.log2(light[8:56, 8:56].mean() / 0.18)
    if spot.clipped > CLIPPED_SHARE:
        assert spot.bound is Bound.AT_LEAST
    if spot.hides_light:
        assert spot.stops_pm is None
        assert any("is clipped" in each for each in spot.warnings)
    elif spot.clipped > 0.0:
        assert truth - spot.stops <= 1.5 * spot.stops_pm  # a half width of 95 %, not of all


@pytest.mark.parametrize("z", [2.0, 2.5, 3.0])
def test_noise_over_the_clip_is_what_simulation_finds(z):
    drawn = np.random.default_rng(7).normal(0.0, 1.0, 4_000_000)
    over = np.maximum(drawn - z, 0.0)
    share = float((over > 0.0).mean())
    assert noise_over(z, 1.0, share) == pytest.approx(float(over.mean()), rel=0.05)


def test_without_noise_or_beyond_it_nothing_is_explained():
    assert noise_over(2.0, 1.0, 0.0) == 0.0
    assert noise_over(0.5, 0.0, 0.01) is None
    assert noise_over(5.0, 1.0, 0.001) is None


def test_what_is_hidden_is_said_channel_by_channel():
    yard = yardstick(SIGNAL, V_LOG, clip=stops_level(CLIP_STOPS))
    limit = yard.clip_percent / 100.0
    nominal = np.array([limit - 0.02, 0.5, 0.4])
    levels, light = hidden_light(yard, nominal, np.full(3, 0.01), np.array([0.02, 0.0, 0.0]))
    assert levels[0] > 0.0
    assert light[0] > levels[0]  # a stop is 0.07 of signal up there, and ten times the light
    assert (levels[1], levels[2], light[1], light[2]) == (0.0, 0.0, 0.0, 0.0)
    assert hidden_light(yard, nominal, np.zeros(3), np.array([0.02, 0.0, 0.0])) is None


def test_a_spot_is_clipped_from_the_share_that_is_documented():
    (share,) = re.findall(
        r"Where more than (\d+) % of a spot is clipped", (HANDBOOK / "exposure.md").read_text()
    )
    spot = read(lit(even(3.0), noise_codes=1.0))
    for beside, bound in ((-0.002, None), (0.002, Bound.AT_LEAST)):
        each = int(share) / 100.0 + beside
        assert replace(spot, clipped=each, clipped_rgb=(each, 0.0, 0.0)).bound is bound


@pytest.mark.parametrize("curve", ["V-Log", "BT.709", "S-Log3"])
@pytest.mark.parametrize("sigma", [0.002, 0.02])
def test_what_is_hidden_is_light_as_it_would_rise_above_the_clip(curve, sigma):
    """Curves grow steeper: by the slope below it light would be said too little."""
    yard = yardstick(SIGNAL, published_curve(curve))
    below, at, above = (float(yard.carried.light(0.8 + by)) for by in (-sigma, 0.0, sigma))
    assert above - at > at - below
    assert _steepest(yard, 0.8, sigma) == pytest.approx((above - at) / sigma)
