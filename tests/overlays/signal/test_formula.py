"""The contract of a formula, over all that were published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from overlays.signal.formula import Formula
from overlays.signal.published import published_curves

CURVES = published_curves()
SHAPES = hnp.array_shapes(min_dims=0, max_dims=3, max_side=4)


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: c.name)
@given(light=hnp.arrays(np.float64, SHAPES, elements=st.floats(-0.5, 100.0)))
def test_both_ways_keep_the_shape_and_give_numbers(curve, light):
    formula: Formula = curve.formula
    signal = formula.encode(light)
    assert signal.shape == light.shape
    assert signal.dtype == np.float64
    assert np.isfinite(signal).all()
    back = formula.decode(signal)
    assert back.shape == light.shape
    assert not np.isnan(back).any()


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: c.name)
@given(light=st.floats(0.02, 1.0), more=st.floats(1.1, 4.0))
def test_more_light_is_more_signal(curve, light, more):
    low, high = curve.formula.encode(np.array([light, min(light * more, 1.0)]))
    assert low <= high
