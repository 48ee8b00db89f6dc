"""Causes of steps that are left out, by what the frames and the steps beside them say."""

import numpy as np
import pytest

from overlays.measure.characterise.blamed import light_over, with_causes
from overlays.measure.characterise.bracket_steps import Step, value_of
from overlays.measure.characterise.flicker import BracketFrames, Light, StepCause
from overlays.measure.characterise.followed import Swing
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.published import published_curve
from overlays.signal.signal import Signal

SIGNAL, CURVE = Signal(10), published_curve("V-Log")
STOPS = np.arange(-2.0, 2.1, 1.0 / 3.0)


def code(stops):
    return float(1023.0 * CURVE.stops_to_value(stops))


def steps(off, **which):
    """Steps on V-Log of which the seventh lies beside its neighbours."""
    out = []
    for n, at in enumerate(STOPS):
        read = code(at)
        own = which if n == 6 else {}
        told = off if n == 6 else 0.004
        value = value_of(read, SIGNAL)
        out.append(Step(float(at), CodeReading(read, 0.2), value, off_stops=told, **own))
    return out


@pytest.mark.parametrize("which", ["is_outlier", "is_doubtful"])
def test_a_step_amid_others_on_one_curve_was_mis_set(which):
    found = with_causes(steps(0.3, **{which: True, "is_used": False}), Light(), SIGNAL)
    assert [step.cause for step in found] == [None] * 6 + [StepCause.MISSET] + [None] * 6


def test_under_light_that_swings_as_much_it_is_either():
    found = with_causes(steps(0.3, is_outlier=True, is_used=False), Light(0.2, 9, 13), SIGNAL)
    assert found[6].cause is StepCause.EITHER
    unknown = with_causes(steps(None, is_outlier=True, is_used=False), Light(), SIGNAL)
    assert unknown[6].cause is StepCause.EITHER


def test_half_of_what_codes_swing_is_told_in_stops():
    swings = tuple(Swing(code(at - 0.1), code(at + 0.1), 6, 0.6, True) for at in STOPS)
    light = light_over(BracketFrames(swings), CURVE, SIGNAL)
    assert light.swing_stops == pytest.approx(0.1, abs=1e-3)
    assert (light.seen_at, light.looked_at) == (len(STOPS), len(STOPS))
    assert light_over(None, CURVE, SIGNAL) == Light()
    mixed = BracketFrames((None, *swings[1:])).ordered(range(len(STOPS) - 1, -1, -1))
    assert mixed.swings[-1] is None
    assert light_over(mixed, CURVE, SIGNAL).seen_at == len(STOPS) - 1
