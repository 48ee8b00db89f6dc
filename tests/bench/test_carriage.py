"""The table of what carriage decides: what the handbook says is what the curves give."""

import math

import colour
import pytest

from tests.bench.carriage import (
    FULL,
    MISTAKES,
    NARROW,
    STRETCHED,
    TAKEN_FOR_FULL,
    off_by,
    table,
)
from tests.places import HANDBOOK


def test_the_handbook_has_the_table_as_it_is():
    page = (HANDBOOK / "numbers.md").read_text(encoding="utf-8")
    assert "\n".join(table()) in page
    assert "up to half a stop.\n" not in page  # what it used to say of carriage


@pytest.mark.parametrize("stops", [-3.0, -1.0, 0.0, 2.0, 5.0])
def test_a_cell_by_another_implementation_of_the_curve(stops):
    """colour-science's V-Log: code10 = 1023 v, read as v = (code10 - 64) / 876."""
    value = colour.models.log_encoding_VLog(0.18 * 2.0**stops)
    light = colour.models.log_decoding_VLog((1023.0 * value - 64.0) / 876.0)
    assert off_by("V-Log", stops, FULL, NARROW) == pytest.approx(
        math.log2(light / 0.18) - stops, abs=2e-3
    )


@pytest.mark.parametrize("curve", ["V-Log", "S-Log3", "LogC3"])
@pytest.mark.parametrize("stops", [-3.0, 0.0, 4.0])
def test_stretched_taken_for_full_is_off_as_full_taken_for_narrow(curve, stops):
    assert off_by(curve, stops, STRETCHED, TAKEN_FOR_FULL) == pytest.approx(
        off_by(curve, stops, FULL, NARROW)
    )
    assert off_by(curve, stops, TAKEN_FOR_FULL, STRETCHED) == pytest.approx(
        off_by(curve, stops, NARROW, FULL)
    )


@pytest.mark.parametrize("lie", [FULL, NARROW, STRETCHED, TAKEN_FOR_FULL])
def test_read_as_it_is_nothing_is_off(lie):
    assert off_by("S-Log3", -2.0, lie, lie) == pytest.approx(0.0, abs=1e-9)


def test_real_pictures_lie_within_what_the_table_says():
    """Issue: +1.31 at -4.9 and -0.34 at +3.0 stops on a real log picture, narrow read as full."""
    at_low = [off_by(curve, -4.9, *MISTAKES[1][1:]) for curve in ("V-Log", "S-Log3", "LogC3")]
    at_high = [off_by(curve, 3.0, *MISTAKES[1][1:]) for curve in ("V-Log", "S-Log3", "LogC3")]
    assert min(at_low) - 0.1 < 1.31 < max(at_low) + 0.1
    assert min(at_high) - 0.1 < -0.34 < max(at_high) + 0.1
