"""What a camera makes of less than no light: told by a cap's shape or spread, or open."""

from dataclasses import replace

import numpy as np
import pytest

from overlays.measure.characterise.below_black import (
    apart_of,
    below_by_spread,
    black_of,
    luma_variance,
    moments,
    shown_below,
    with_black,
)
from overlays.measure.characterise.noise_through import Under
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal
from tests.bench.cameras import of_seen
from tests.made_cameras import cut_at_black

SIGNAL = Signal(8, Range.LIMITED)
STOPS = np.arange(-8.0, -2.0, 1.0 / 3.0)
CURVES = ("LogC4", "Canon Log", "PQ", "BT.709")


def counted(codes):
    first = int(codes.min())
    counts = tuple(int(n) for n in np.bincount((codes - first).astype(int).ravel()))
    tally = Tally(first, counts, float(codes.size))
    return CodeReading(float(codes.mean()), 0.01, float(codes.std()), tally=tally)


def spread_camera(rng, ends=-1.0, noise=0.0008):
    """A channel of Canon Log at 8 bits: cap and steps; light below `ends` is sent as that."""
    curve = published_curve("Canon Log")

    def card(light):
        lit = light + np.sqrt(noise**2 + 0.0004 * light) * rng.normal(size=(192, 192))
        return counted(np.rint(255.75 * np.asarray(curve.encode(np.maximum(lit, ends)))))

    return card(0.0), [card(light) for light in 0.18 * 2.0**STOPS], curve


def test_where_codes_are_too_coarse_for_a_shape_the_spread_of_a_cap_shows_it():
    cap, steps, curve = spread_camera(np.random.default_rng(1))
    assert shown_below(cap, 1.0, SIGNAL) is None  # two thirds of a code
    assert below_by_spread(cap, STOPS, steps, curve, 1.0, SIGNAL) is Under.MIRRORED


def test_a_cap_that_is_cut_at_black_or_smoothed_is_not_taken_for_a_whole_one():
    rng = np.random.default_rng(2)
    cap, steps, curve = spread_camera(rng, ends=0.0)
    assert below_by_spread(cap, STOPS, steps, curve, 1.0, SIGNAL) is None
    whole, steps, curve = spread_camera(rng)
    smoothed = replace(whole, noise=float(np.sqrt(0.3 * luma_variance(whole.noise, 1.0) + 1 / 12)))
    assert below_by_spread(smoothed, STOPS, steps, curve, 1.0, SIGNAL) is None
    assert below_by_spread(replace(whole, tally=None), STOPS, steps, curve, 1.0, SIGNAL) is None
    few = slice(-3, None)
    assert below_by_spread(whole, STOPS[few], steps[few], curve, 1.0, SIGNAL) is None


def test_without_read_noise_a_cap_says_nothing():
    cap, steps, curve = spread_camera(np.random.default_rng(3), noise=1e-6)
    assert below_by_spread(cap, STOPS, steps, curve, 1.0, SIGNAL) is None


def test_a_link_that_cuts_off_a_few_samples_leaves_the_shape_and_one_that_cuts_more_does_not():
    noise = 4.0 * np.random.default_rng(4).normal(size=(192, 192))
    few, many = (counted(np.maximum(np.rint(code + noise), 1.0)) for code in (10.5, 6.0))
    assert shown_below(few, 1.0, SIGNAL) is Under.MIRRORED
    assert shown_below(many, 1.0, SIGNAL) is None


def test_black_lies_below_the_mean_of_a_cap_that_is_cut_there():
    """Half a normal: mean 0.399 s, deviation 0.584 s (Tobin 1958)."""
    rng = np.random.default_rng(5)
    ended = counted(np.rint(64.0 + np.maximum(5.0 * rng.normal(size=(192, 192)), 0.0)))
    code, pm = black_of(ended, Under.CUT, 1.0)
    assert abs(code - 64.0) <= pm < 1.0
    assert black_of(ended, Under.MIRRORED, 1.0) == (ended.code, ended.code_pm)
    code, pm = black_of(ended, None, 1.0)
    assert code == ended.code
    assert abs(code - 64.0) <= pm


def test_noise_after_the_curve_lifts_no_black_and_half_of_it_half_as_much():
    cap = CodeReading(64.5, 0.01, noise=0.6)
    whole = black_of(cap, Under.CUT, 1.0)
    assert with_black(cap, Under.CUT, 0.0, 1.0) == cap
    half = with_black(cap, Under.CUT, 0.5, 1.0)
    assert half.code == pytest.approx(0.5 * (64.5 + whole[0]))
    assert half.code_pm == pytest.approx(0.5 * (0.01 + whole[1]))


def test_variance_of_channels_over_that_of_luma_has_its_ends():
    reading = CodeReading(64.0, 0.1, noise=1.0)
    assert apart_of(replace(reading, channels=(9.0,) * 3)) == pytest.approx(1.0 / 0.5619, rel=1e-3)
    assert apart_of(replace(reading, channels=(0.5,) * 3)) == 1.0
    assert apart_of(replace(reading, channels=(1.2,) * 3)) == pytest.approx(1.44)


def test_moments_are_those_of_the_samples():
    codes = np.random.default_rng(6).poisson(3.0, 5000)
    tally = counted(codes).tally
    away = codes - codes.mean()
    assert moments(tally) == pytest.approx((float((away**2).mean()), float((away**3).mean())))


@pytest.mark.parametrize("bits", [8, 10])
def test_of_a_camera_that_cuts_at_black_what_is_said_holds(bits):
    """Half of the noise at the floor is missing: 0.91 of the levels were covered, claims 0.036."""
    found = of_seen(bits, 192, 1, sensor=cut_at_black, curves=CURVES)
    assert len(found.covered) == len(CURVES)
    assert np.mean(found.covered) >= 0.95
    assert max(found.known, default=0.0) <= 0.03
