"""Levels with units."""

import pytest

from overlays.signal.carried import CarriedCurve
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent, stops
from overlays.signal.signal import Range

V_LOG = CarriedCurve(published_curve("V-Log"), Carriage.FULL, Range.LIMITED)


def test_stops_go_through_the_curve_and_back():
    assert stops(0).percent(V_LOG) == pytest.approx(42.13, abs=0.01)
    assert percent(stops(1.5).percent(V_LOG)).stops(V_LOG) == pytest.approx(1.5)
    assert stops(2).stops(V_LOG) == 2.0
    assert percent(50).percent(V_LOG) == 50.0


def test_written_as_a_person_would():
    assert [str(stops(x)) for x in (0, 1, -0.333)] == ["0 st", "+1 st", "-0.333 st"]
    assert str(percent(95)) == "95 %"
