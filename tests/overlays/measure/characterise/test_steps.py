import numpy as np
import pytest

from overlays.measure.characterise.steps import judged_steps, value_of
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.signal import Range, Signal


@pytest.mark.parametrize(("bits", "code"), [(10, 420.0), (8, 105.0)])
def test_a_value_is_the_code_on_the_whole_scale(bits, code):
    """S-Log3 lies with mid-grey on code 420 of 1023 (tests/reference/curves.csv)."""
    assert value_of(code, Signal(bits)) == pytest.approx(420.0 / 1023.0, abs=1e-6)
    full = value_of(code, Signal(bits, Range.FULL))
    assert full == pytest.approx(code / ((1 << bits) - 1))


def steps(off=None, pm=0.2):
    found = [(float(n), CodeReading(300.0 + 70.0 * n, pm)) for n in np.arange(-3.0, 6.0)]
    if off is not None:
        found[off] = (found[off][0] + 0.5, found[off][1])
    return judged_steps(found, CodeReading(300.0 + 70.0 * 4.0, 1.0), Signal(10))


def test_steps_on_the_clip_are_clipped_and_even_ones_are_no_outliers():
    found = steps()
    assert [s.is_clipped for s in found] == [s.stops >= 4.0 for s in found]
    assert not any(s.is_outlier for s in found)


def test_a_step_beside_its_neighbours_is_an_outlier_unless_its_half_width_explains_it():
    assert [s.stops for s in steps(3) if s.is_outlier] == [0.5]
    assert not any(s.is_outlier for s in steps(3, pm=20.0))
