"""The search for causes: what was put in is found, by amount."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.chips.chip_causes import Case, Cause, explain
from overlays.signal.carried import CarriedCurve
from overlays.signal.published import published_curve
from overlays.signal.signal import Range

CURVE = published_curve("BT.709")
CARRIED = CarriedCurve(CURVE, CURVE.carriage, Range.LIMITED)
WANTED = np.array([0.915, 0.40, 0.02])
SLACK = np.array([0.004, 0.004, 0.003])


@settings(max_examples=20, deadline=None)
@given(st.floats(-2.0, 0.25).filter(lambda x: abs(x) > 0.15))
def test_an_exposure_is_found(over):
    seen = CARRIED.nominal(CARRIED.light(WANTED) * 2.0**over)
    best = explain(Case(WANTED, np.asarray(seen), SLACK, CARRIED))[0]
    assert best.causes == (Cause.EXPOSURE,)
    assert best.amounts[0] == pytest.approx(over, abs=0.08)
    assert best.misfit <= 1.0


@settings(max_examples=20, deadline=None)
@given(st.floats(2.0, 15.0))
def test_a_lift_is_told_from_a_reflection(percent):
    lifted = WANTED + percent / 100.0 * (1.0 - WANTED)
    best = explain(Case(WANTED, lifted, SLACK, CARRIED))[0]
    assert best.causes == (Cause.BLACK_LEVEL,)
    glare = WANTED + np.array([0.0, 0.0, percent / 100.0])
    best = explain(Case(WANTED, glare, SLACK, CARRIED))[0]
    assert best.causes == (Cause.REFLECTION,)
    assert best.amounts[0] == pytest.approx(percent, abs=0.5)


def test_nothing_is_explained_at_any_price():
    assert explain(Case(WANTED, np.array([0.3, 0.9, 0.5]), SLACK, CARRIED)) == ()
