"""Custom log curves."""

import csv

import colour
import numpy as np
import pytest

from overlays.errors import CurveParameterError
from overlays.signal.log_curve import LogParameters, custom_curve, drafted_curve
from overlays.signal.published import published_curve
from tests.places import REFERENCE

CLF = list(csv.DictReader((REFERENCE / "clf.csv").read_text().splitlines()))
# Rows whose fit is said to hold on the whole range, with the error the table gives them.
FITTING = [r for r in CLF if r["fits"].startswith("yes") and r["linearSlope_spec"]]


@pytest.mark.parametrize("row", FITTING, ids=lambda r: r["curve"])
def test_common_lut_format_parameters_make_the_published_curve(row):
    parameters = LogParameters(
        base=float(row["base"]),
        log_side_slope=float(row["logSideSlope"]),
        log_side_offset=float(row["logSideOffset"]),
        lin_side_slope=float(row["linSideSlope"]),
        lin_side_offset=float(row["linSideOffset"]),
        lin_side_break=float(row["linSideBreak"]),
        linear_slope=float(row["linearSlope_spec"]),
    )
    name = row["curve"]
    published = None if name.startswith("LogC3") and "800" not in name else published_curve(name)
    light = 0.18 * 2.0 ** np.linspace(-8.0, 8.0, 401)
    custom = custom_curve("mine", parameters)
    if published is not None:
        allowed = float(row["max_err"]) * 1.05 + 1e-9
        np.testing.assert_allclose(custom.encode(light), published.encode(light), atol=allowed)
    np.testing.assert_allclose(custom.decode(custom.encode(light)), light, rtol=1e-9)


def test_common_lut_format_agrees_with_colour_science():
    # colour-science's camera log of the Common LUT Format, S-Log3's log side only.
    light = np.linspace(0.02, 8.0, 50)
    oracle = colour.models.log_encoding_SLog3(light)
    p = LogParameters(10.0, 0.255620723363, 0.410557184751, 5.26315789474, 0.0526315789474)
    np.testing.assert_allclose(custom_curve("mine", p).encode(light), oracle, atol=1e-9)


def test_default_toe_meets_the_log_with_its_own_slope():
    p = LogParameters(2.0, 0.1, 0.5, 1.0, 0.0, 0.01)
    curve = custom_curve("mine", p)
    step = 1e-6
    below = (curve.encode(0.01) - curve.encode(0.01 - step)) / step
    above = (curve.encode(0.01 + step) - curve.encode(0.01)) / step
    assert below == pytest.approx(above, rel=1e-3)


@pytest.mark.parametrize(
    ("parameters", "word"),
    [
        (LogParameters(base=1.0), "base"),
        (LogParameters(log_side_slope=0.0), "log_side_slope"),
        (LogParameters(lin_side_slope=-1.0), "lin_side_slope"),
        (LogParameters(lin_side_break=-1.0), "lin_side_break"),
        (LogParameters(linear_slope=2.0), "lin_side_break"),
        (LogParameters(lin_side_break=0.1, linear_slope=0.0), "linear_slope"),
    ],
)
def test_impossible_parameters_are_named(parameters, word):
    with pytest.raises(CurveParameterError, match=word):
        custom_curve("mine", parameters)


def test_a_log_curve_is_of_base_two_where_no_base_is_given():
    # Common LUT Format S-2014-006, Log node: "base", default 2.
    curve = custom_curve("plain", LogParameters())
    assert curve.encode(8.0) == pytest.approx(3.0)
    assert curve.decode(-2.0) == pytest.approx(0.25)


def test_a_draft_is_the_curve_before_it_is_checked():
    good, flat = LogParameters(2.0, 0.1, 0.5), LogParameters(2.0, 1e-3)  # light without end
    assert drafted_curve("mine", good) == custom_curve("mine", good)
    drafted_curve("mine", flat)
    with pytest.raises(CurveParameterError, match="light without end"):
        custom_curve("mine", flat)
