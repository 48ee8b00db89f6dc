from dataclasses import replace
from unittest.mock import Mock

import numpy as np
import pytest

from overlays.errors import CurveParameterError, TooFewStepsError
from overlays.measure.characterise import fit
from overlays.measure.characterise.bracket_steps import Step
from overlays.measure.characterise.fit import fitted
from overlays.measure.characterise.smooth import smooth
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.published import published_curve

STOPS = np.arange(-7.0, 5.0, 1.0 / 3.0)
WIDTHS = np.full(len(STOPS), 1e-4)


def steps_of(curve):
    found = published_curve(curve)
    return [
        Step(float(s), CodeReading(0.0, 0.1), float(found.stops_to_value(float(s)))) for s in STOPS
    ], float(found.encode(0.0))


def lying(steps, black):
    stops, values = (np.array([getattr(s, key) for s in steps]) for key in ("stops", "value"))
    return smooth(stops, values, WIDTHS[: len(steps)], (black, 1e-4), 1e-3)


@pytest.mark.parametrize("curve", ["V-Log", "LogC3", "D-Log"])
def test_log_curves_come_back_as_parameters(curve):
    steps, black = steps_of(curve)
    found = fitted(steps, WIDTHS, lying(steps, black))
    assert found.parameters is not None
    between = STOPS[:-1] + 1.0 / 6.0
    wanted = np.asarray(published_curve(curve).stops_to_value(between))
    assert np.abs(np.asarray(found.curve.value_to_stops(wanted)) - between).max() < 0.03


@pytest.mark.parametrize("curve", ["BT.709", "HLG", "N-Log"])
def test_other_curves_come_back_as_a_table(curve):
    steps, black = steps_of(curve)
    steps = [step for step in steps if step.stops < 2.5]
    found = fitted(steps, WIDTHS[: len(steps)], lying(steps, black))
    assert found.parameters is None
    between = np.array([step.stops for step in steps])[:-1] + 1.0 / 6.0
    wanted = np.asarray(published_curve(curve).stops_to_value(between))
    assert np.abs(np.asarray(found.curve.value_to_stops(wanted)) - between).max() < 0.01


@pytest.mark.parametrize(("bent_stops", "is_log"), [(0.06, True), (0.078, False)])
def test_steps_set_off_may_bend_an_end_by_twice_their_scatter_and_no_more(bent_stops, is_log):
    """More than that is a shape that the camera has: parameters would take it away."""
    steps, black = steps_of("V-Log")
    lies = lying(steps, black)
    bent = lies.values.copy()
    bent[0] = published_curve("V-Log").stops_to_value(STOPS[0] + bent_stops)
    found = fitted(steps, WIDTHS, replace(lies, values=bent), scatter_stops=0.02)
    assert (found.parameters is not None) == is_log


def test_steps_that_do_not_rise_make_no_curve():
    flat = [Step(float(s), CodeReading(0.0, 0.1), 0.4) for s in range(6)]
    with pytest.raises(TooFewStepsError, match="of 6 steps only 0"):
        fitted(flat, np.full(6, 1e-4), lying(flat, 0.4))


def test_what_cannot_be_measured_with_is_passed_over(monkeypatch):
    """The nearest that passes the check is taken: of the same place, else of the next."""
    steps, black = steps_of("V-Log")
    lies = lying(steps, black)
    refused: list[object] = []

    def check(formula):
        if len(refused) < 3:
            refused.append(formula)
            raise CurveParameterError("not this one")

    first = fitted(steps, WIDTHS, lies)
    monkeypatch.setattr(fit, "check_formula", check)
    found = fitted(steps, WIDTHS, lies)
    assert len(refused) == 3
    assert found.curve.formula not in refused
    assert first.parameters is not None
    assert found.parameters is not None


def test_where_nothing_passes_the_check_the_curve_is_a_table(monkeypatch):
    steps, black = steps_of("V-Log")

    nothing_passes = Mock(side_effect=CurveParameterError("none"))
    monkeypatch.setattr(fit, "check_formula", nothing_passes)
    assert fitted(steps, WIDTHS, lying(steps, black)).parameters is None
