import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import CurveParameterError
from overlays.signal.carried import CarriedCurve, light_table
from overlays.signal.curve_check import CODES, check_formula
from overlays.signal.formulas import LogWithToe, PureLog
from overlays.signal.levels import Carriage
from overlays.signal.log_curve import LogParameters, custom_curve
from overlays.signal.published import published_curves
from overlays.signal.signal import Range

S_LOG = LogParameters(10.0, 0.25562, 0.41056, 5.26316, 0.0526316)


def changed(**more):
    return custom_curve("mine", LogParameters(**{"base": 10.0, "log_side_slope": 0.25,
                        "log_side_offset": 0.4, "lin_side_slope": 5.0, "lin_side_offset": 0.05,
                        **more}))  # fmt: skip


@pytest.mark.parametrize(
    ("parameters", "words"),
    [
        ({"base": 1e300}, "without end"),
        ({"log_side_slope": 1e-3}, "without end"),
        ({"log_side_slope": 1e300}, "does not rise|followed back"),
        ({"lin_side_offset": 1e18}, "does not rise|followed back"),
        ({"lin_side_slope": 1e300}, "does not rise|followed back|mid-grey"),
        ({"log_side_offset": 1e6}, "does not rise|followed back|mid-grey"),
        ({"log_side_offset": -40.0}, "without end|mid-grey"),
        ({"lin_side_break": 0.01, "linear_slope": 1e300}, "does not rise|followed back|mid-grey"),
        (
            {"lin_side_break": 1e-9, "lin_side_slope": 5e-324},
            "followed|rise|reckoned|mid-grey|without end",
        ),
    ],
)
def test_extreme_parameters_are_refused_as_a_whole(parameters, words):
    """The old curve was taken, and gave NaN in the forecast (issue 19, item 6)."""
    with pytest.raises(CurveParameterError, match=words):
        changed(**parameters)


@pytest.mark.parametrize("curve", published_curves(), ids=lambda curve: curve.name)
def test_what_published_log_curves_are_is_possible(curve):
    # Others hold black for a span of codes, or are not of reflectance.
    if isinstance(curve.formula, LogWithToe | PureLog) and curve.reflectance_scale == 1.0:
        check_formula(curve.formula)


class FlatInOnePlace:
    """A straight line, but for two neighbouring codes that mean the same light."""

    def __init__(self, where):
        nodes = np.linspace(*CODES, 4097)
        self.between = nodes[where : where + 2].mean()
        self.near = np.diff(nodes[:2])[0] * 0.6

    def decode(self, codes):
        return np.where(np.abs(codes - self.between) < self.near, self.between, codes)

    def encode(self, light):
        return light


@pytest.mark.parametrize("where", [1, 2000, 4094])
def test_a_curve_that_is_flat_in_one_place_alone_is_refused_and_the_place_said(where):
    flat = FlatInOnePlace(where)
    with pytest.raises(CurveParameterError, match="two of them mean the same light") as told:
        check_formula(flat)
    assert f"{100.0 * CODES[0] + where * 0.02854:.1f} %" in str(told.value)


def test_an_ordinary_curve_passes():
    assert custom_curve("mine", S_LOG).encode(0.18) == pytest.approx(0.4106, abs=1e-3)


numbers = st.floats(-1e12, 1e12, allow_nan=False)
positive = st.floats(1e-12, 1e12, allow_nan=False)


@given(positive, positive, numbers, positive, numbers, st.none() | numbers)
def test_what_passes_is_finite_rises_and_comes_back(base, slope, offset, gain, shift, break_):
    try:
        curve = custom_curve("any", LogParameters(base, slope, offset, gain, shift, break_))
    except CurveParameterError:
        return
    codes = np.linspace(0.0, 1.0, 1001)
    light = curve.decode(codes)
    assert np.isfinite(light).all()
    assert (np.diff(light) > 0.0).all()
    assert np.abs(curve.encode(light) - codes).max() < 1e-3
    for carriage in Carriage:
        table = light_table(CarriedCurve(curve, carriage, Range.LIMITED))
        assert np.isfinite(table.nodes).all()
