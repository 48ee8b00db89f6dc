"""What noise of light becomes behind a curve, by counting; and noise that is not normal."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.noise_through import (
    PowerToe,
    Under,
    electron_of,
    encoded,
    noise_through,
    power_toe,
    spread_of_none,
)
from overlays.signal.published import published_curve
from tests.bench.cameras import of_seen
from tests.made_cameras import SCENE_READ, of_electrons, with_tails

COUNT = 400_000
LIGHT = 0.18 * 2.0 ** np.array([-7.0, -5.0, -2.0])


def counted(curve, light, noise, rng, under=Under.MIRRORED, electron=0.0):
    """Mean, deviation and third moment of values, samples drawn one by one."""
    if electron:  # shot noise alone
        lit = electron * rng.poisson(light / electron, COUNT)
    else:
        lit = light + noise * rng.normal(size=COUNT)
    values = encoded(curve, lit if under is Under.MIRRORED else np.maximum(lit, 0.0))
    away = values - values.mean()
    shift = float(values.mean() - curve.encode(light))
    return shift, float(values.var()), float((away**3).mean())


@pytest.mark.parametrize("under", Under)
@pytest.mark.parametrize("name", ["S-Log3", "V-Log", "HLG"])
def test_even_noise_comes_out_as_samples_do(name, under):
    """To what 31 points of the noise tell of a curve that has a corner at black."""
    rng, curve = np.random.default_rng(3), published_curve(name)
    for light in LIGHT:
        shift, variance, third = counted(curve, light, 0.6 * light, rng, under)
        found = noise_through(curve, np.array([light]), np.array([variance]), under)
        scatter = variance**0.5
        assert found.sigma[0] == pytest.approx(0.6 * light, rel=0.02)
        assert found.shift[0] == pytest.approx(shift, abs=0.015 * scatter)
        assert found.third[0] == pytest.approx(third, abs=0.12 * scatter**3)


def test_shot_noise_is_less_lopsided_behind_a_logarithm_than_even_noise():
    """Where many electrons are counted the third moments are as -3 + 1 to -3 (k^2 x each)."""
    curve, light, electron = published_curve("LogC4"), 0.18, 0.002
    rng = np.random.default_rng(4)
    shift, variance, third = counted(curve, light, 0.0, rng, electron=electron)
    given_ = np.array([light]), np.array([variance])
    even = noise_through(curve, *given_)
    shot = noise_through(curve, *given_, electron=electron)
    assert shot.third[0] == pytest.approx(third, rel=0.1)
    assert shot.third[0] == pytest.approx(even.third[0] * 2.0 / 3.0, rel=0.1)
    assert shot.shift[0] == pytest.approx(shift, rel=0.1)


@given(st.floats(1e-5, 1e-2), st.floats(1e-5, 1e-2))
def test_an_electron_is_found_in_any_straight_variance(read, electron):
    light = 0.18 * 2.0 ** np.arange(-8.0, 3.0)
    found = electron_of(light, np.sqrt(read**2 + electron * light))
    assert found == pytest.approx(electron, rel=0.01)


def test_no_electrons_are_seen_where_noise_does_not_rise():
    light = 0.18 * 2.0 ** np.arange(-8.0, 3.0)
    assert electron_of(light, np.full(light.size, 0.05)) == pytest.approx(0.0, abs=1e-6)
    assert electron_of(light, 1e-4 * light) == 0.0  # nothing is known of so little


def test_the_spread_of_no_light_is_that_of_samples():
    rng, curve = np.random.default_rng(5), published_curve("BT.1886")
    values = encoded(curve, 0.0008 * rng.normal(size=COUNT))
    assert spread_of_none(curve, 0.0008**2) == pytest.approx(float(values.var()), rel=0.05)


@pytest.mark.parametrize(("name", "power"), [("HLG", 0.5), ("BT.1886", 1 / 2.4), ("V-Log", 1.0)])
def test_a_dark_end_goes_on_as_a_power_of_light(name, power):
    """HLG: a square root (BT.2100-2 table 5); BT.1886 annex 1: gamma 2.4; V-Log is straight."""
    curve, darkest = published_curve(name), 0.18 * 2.0**-9.0
    toe = power_toe(curve, darkest)
    assert isinstance(toe, PowerToe)
    assert toe.power == pytest.approx(power, abs=0.001)
    light = darkest * np.array([0.0, 0.1, 0.7, 1.0, 30.0])
    assert np.asarray(toe.encode(light)) == pytest.approx(np.asarray(curve.encode(light)), abs=1e-9)


CURVES = ("LogC4", "Canon Log", "PQ", "BT.709")


@pytest.mark.parametrize("bits", [8, 10])
def test_with_few_electrons_what_is_said_of_a_curve_holds(bits):
    """90 electrons at mid-grey: less noise was taken back, and 0.42 of the levels were covered."""
    found = of_seen(bits, 192, 1, sensor=of_electrons(0.002, SCENE_READ), curves=CURVES)
    assert len(found.covered) == len(CURVES)
    assert np.mean(found.covered) >= 0.9
    assert max(found.known) <= 0.03
    assert np.mean(list(found.short.values())) < 3.5  # no empty claim


def test_with_long_tails_what_is_claimed_to_be_known_holds():
    """Not all of the ± does, at the floor of curves that are bent there: no shape tells tails."""
    found = of_seen(10, 192, 1, sensor=with_tails, curves=CURVES)
    assert max(found.known) <= 0.03
    assert np.mean(found.covered) >= 0.85
