"""What is open of black makes a curve less sure than its samples alone do, never surer."""

import numpy as np
import pytest

from tests.bench.bounds import bound_of, shares
from tests.bench.open_bounds import Noise, begins, dark_of, open_bound, shares_of
from tests.made_cameras import scene_noise


@pytest.mark.parametrize("curve", ["S-Log3", "HLG"])
def test_shares_are_those_of_the_formula(curve):
    light = 0.18 * 2.0**-6
    dark, noise = dark_of(curve, 8), float(scene_noise(light))
    found = shares_of(dark.light, dark.codes, 8, light, Noise(noise))
    assert found == pytest.approx(shares(curve, 8, light, noise), abs=1e-4)


def test_a_noise_with_a_third_moment_has_it():
    z = np.linspace(-9.0, 9.0, 20001)
    part, middle = np.diff(Noise(1.0, skew=0.2, excess=0.1).below(z)), 0.5 * (z[1:] + z[:-1])
    moments = [float(part @ middle**n) for n in range(5)]
    assert moments == pytest.approx([1.0, 0.0, 1.0, 0.2, 3.1], abs=1e-3)


def test_it_is_never_surer_than_where_black_is_known():
    stops, half = open_bound("S-Log3", 10, 192)
    _, sensor = open_bound("S-Log3", 10, 192, is_sensor=True)
    dark = (stops > -8.5) & (stops < -4.0)
    assert (sensor <= half + 1e-9)[dark].all()
    known = bound_of("S-Log3", 10, 192, stops[dark])
    assert (half[dark] >= 0.95 * known.alone / 1.3).all()  # neighbours may help by so much


def test_from_where_on_is_read_between_steps():
    stops, half = np.arange(-8.0, -1.9, 1.0), np.array([0.24, 0.12, 0.06, 0.015, 0.01, 0.01, 0.01])
    assert begins(stops, half, floor=-9.0) == pytest.approx(-5.5)
    assert begins(stops, half, floor=-5.0) == -5.0
    assert begins(stops, np.full(7, 0.01), floor=-7.5) == -7.5
