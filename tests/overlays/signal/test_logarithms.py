"""Logarithms of formulas, and the light behind them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.signal.logarithms import light_of_log, log_of

BASES = st.sampled_from([2.0, math.e, 10.0])


@given(st.floats(1e-6, 1e6), BASES)
def test_it_is_the_logarithm(x, base):
    assert log_of(np.array([x]), base)[0] == pytest.approx(math.log(x, base), abs=1e-12)


def test_of_no_light_it_is_low_and_raises_no_warning():
    low = log_of(np.array([0.0, -1.0, 1e-300]), 2.0)
    assert np.isfinite(low).all()
    assert (low[:2] < low[2]).all()


@given(st.floats(-0.5, 9.0), BASES, st.floats(0.05, 0.5), st.floats(0.1, 0.6), st.floats(0.5, 20.0))
def test_light_comes_back(light, base, slope, offset, gain):
    shift = 20.0  # so that there is a logarithm of every light
    value = slope * log_of(np.array([gain * light + shift]), base) + offset
    back = light_of_log(value, base, slope, offset, gain, shift)
    assert back[0] == pytest.approx(light, abs=1e-9)


def test_many_curves_at_once_are_each_by_itself():
    values, rng = np.linspace(0.1, 0.9, 7), np.random.default_rng(1)
    slope, offset, gain, shift = (rng.uniform(0.1, 0.9, (5, 1)) for _ in range(4))
    together = light_of_log(values, 10.0, slope, offset, gain, shift)
    for n in range(5):
        of_one = (float(each[n, 0]) for each in (slope, offset, gain, shift))
        np.testing.assert_array_equal(together[n], light_of_log(values, 10.0, *of_one))
