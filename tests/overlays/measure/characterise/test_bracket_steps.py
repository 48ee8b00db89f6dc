import numpy as np
import pytest

from overlays.measure.characterise.bracket_steps import judged_steps, value_of
from overlays.measure.feedcheck.readings import CodeReading, Tally
from overlays.signal.carried import CarriedCurve
from overlays.signal.levels import luma_scale
from overlays.signal.published import published_curve, published_curves
from overlays.signal.signal import Range, Signal


@pytest.mark.parametrize(("bits", "code"), [(10, 420.0), (8, 105.0)])
def test_a_value_is_the_code_on_the_whole_scale(bits, code):
    """S-Log3 lies with mid-grey on code 420 of 1023 (tests/reference/curves.csv)."""
    assert value_of(code, Signal(bits)) == pytest.approx(420.0 / 1023.0, abs=1e-6)
    full = value_of(code, Signal(bits, Range.FULL))
    assert full == pytest.approx(code / ((1 << bits) - 1))


CLIP = CodeReading(300.0 + 70.0 * 4.0, 1.0)


def steps(off=None, pm=0.2):
    found = [(float(n), CodeReading(300.0 + 70.0 * n, pm)) for n in np.arange(-3.0, 6.0)]
    if off is not None:
        found[off] = (found[off][0] + 0.5, found[off][1])
    return judged_steps(found, CLIP, Signal(10))


def test_steps_on_the_clip_are_clipped_and_even_ones_are_no_outliers():
    found = steps()
    assert [s.is_clipped for s in found] == [s.stops >= 4.0 for s in found]
    assert not any(s.is_outlier for s in found)


def test_a_step_beside_its_neighbours_is_an_outlier_unless_its_half_width_explains_it():
    assert [s.stops for s in steps(3) if s.is_outlier] == [0.5]
    assert not any(s.is_outlier for s in steps(3, pm=20.0))


@pytest.mark.parametrize("curve", published_curves(), ids=lambda curve: curve.name)
def test_whole_stops_of_a_curve_have_no_step_that_is_called_mis_set(curve):
    bracket, clip = bracket_of(curve, None)
    found = judged_steps(bracket, clip, Signal(10))
    assert [step.stops for step in found if step.is_outlier] == []


def test_a_step_of_whole_stops_that_was_mis_set_is_named():
    for stops in (-1.0, 0.0, 1.0):
        bracket, clip = bracket_of(published_curve("V-Log"), stops)
        found = judged_steps(bracket, clip, Signal(10))
        assert stops in [step.stops for step in found if step.is_outlier]


def bracket_of(curve, misset):
    """A bracket in whole stops and its clip, of codes by the curve; one is half a stop off."""
    carried, scale = CarriedCurve(curve, curve.carriage, Range.LIMITED), luma_scale(Signal(10))

    def reading(stops):
        nominal = float(carried.nominal(0.18 * 2.0 ** (stops + 0.5 * (stops == misset))))
        return CodeReading(float(np.clip(np.rint(scale.zero + scale.span * nominal), 4, 1019)), 0.5)

    return [(float(stops), reading(stops)) for stops in range(-7, 4)], reading(5.0)


def test_steps_on_the_lowest_code_are_left_out_and_not_called_mis_set():
    """Code 4 of 10 bits holds all that lies below it (ITU-R BT.709-6 item 4, from memory)."""
    found = [(float(n), CodeReading(300.0 + 70.0 * n, 0.2)) for n in range(-3, 4)]
    sunk = CodeReading(4.2, 0.5, 0.4, tally=Tally(4, (1500, 500, 304), 2304.0))
    dark = CodeReading(30.0, 0.2, 0.4, tally=Tally(29, (100, 2104, 100), 2304.0))
    judged = judged_steps([(-6.0, sunk), (-5.0, sunk), (-4.0, dark), *found], CLIP, Signal(10))
    assert [s.is_sunk for s in judged[:3]] == [True, True, False]
    assert [s.is_used for s in judged[:2]] == [False, False]
    assert not any(s.is_outlier or s.is_doubtful for s in judged[:2])
