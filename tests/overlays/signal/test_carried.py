"""Carried curves and the look-up table."""

import numpy as np
import pytest

from overlays.signal.carried import CarriedCurve, light_table
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve, published_curves
from overlays.signal.signal import Range


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
@pytest.mark.parametrize("carriage", Carriage)
def test_nominal_level_and_back(curve, carriage):
    carried = CarriedCurve(curve, carriage, Range.LIMITED)
    light = 0.18 * 2.0 ** np.linspace(-3.0, 2.0, 40)
    np.testing.assert_allclose(carried.light(carried.nominal(light)), light, rtol=1e-6)


def test_carriage_moves_a_log_curve_on_limited_range_only():
    curve = published_curve("V-Log")
    full = CarriedCurve(curve, Carriage.FULL, Range.LIMITED).stops_to_percent(0.0)
    narrow = CarriedCurve(curve, Carriage.NARROW, Range.LIMITED).stops_to_percent(0.0)
    assert full == pytest.approx(42.13, abs=0.01)  # tests/reference/curves.csv
    assert narrow == pytest.approx(42.33, abs=0.01)
    same = {CarriedCurve(curve, c, Range.FULL).stops_to_percent(0.0) for c in Carriage}
    assert len(same) == 1


@pytest.mark.parametrize("curve", published_curves(), ids=lambda c: c.name)
def test_table_follows_the_formula(curve):
    carried = CarriedCurve(curve, curve.carriage, Range.LIMITED)
    table = light_table(carried)
    level = np.linspace(0.02, 1.05, 4001)
    place = (level - table.low) / table.step
    index = place.astype(int)
    read = table.nodes[index] + (table.nodes[index + 1] - table.nodes[index]) * (place - index)
    exact = carried.light(level)
    assert np.frexp(table.step)[0] == 0.5  # a power of two: loops multiply by its inverse
    error = np.abs(read - exact) / np.maximum(np.abs(exact), 1e-2)
    # Only between the two nodes about a break is a straight line off; L-Log and F-Log have a step.
    assert np.quantile(error, 0.999) < 1e-5
    assert error.max() < (0.02 if curve.name in {"F-Log", "L-Log"} else 3e-4)
