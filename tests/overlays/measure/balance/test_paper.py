"""What paper does to a reading, against colour-science's own arithmetic."""

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.balance.paper import BRIGHT_WHITE_LAB, CREAM_LAB, paper_doubt
from overlays.measure.colour.whitepoint import WhitePoint
from tests.colour_frames import light_xyz

D50 = (0.34570, 0.35850)  # CIE 15


@pytest.mark.parametrize("kelvin", [2700.0, 3200.0, 5600.0, 6500.0])
@pytest.mark.parametrize("lab", [BRIGHT_WHITE_LAB, CREAM_LAB])
def test_as_colour_science_takes_a_paper_to_the_light(kelvin, lab):
    paper = colour.adaptation.chromatic_adaptation_VonKries(
        colour.Lab_to_XYZ(lab, D50), colour.xy_to_XYZ(D50), light_xyz(kelvin, 0.0), "Bradford"
    )
    uv = colour.UCS_to_uv(colour.XYZ_to_UCS(paper))
    read, duv = colour.temperature.uv_to_CCT_Ohno2013(uv)
    found = paper_doubt(WhitePoint(kelvin, 0.0))
    of = "bright" if lab is BRIGHT_WHITE_LAB else "cream"
    assert getattr(found, f"{of}_kelvin") == pytest.approx(read - kelvin, abs=2.0)
    assert getattr(found, f"{of}_tint") == pytest.approx(1000.0 * duv, abs=0.1)


def test_it_is_what_papers_were_seen_to_do():
    # Papers measured for the issue that asked for this: +420 to +730 K, cream -930 K, at 5600 K.
    found = paper_doubt(WhitePoint(5600.0, 0.0))
    assert found.bright_kelvin == pytest.approx(730.0, abs=20.0)
    assert found.cream_kelvin == pytest.approx(-930.0, abs=20.0)


@given(st.floats(2500.0, 9000.0), st.floats(-0.01, 0.01))
def test_cream_is_warm_and_brightened_paper_blue_in_every_light(kelvin, duv):
    found = paper_doubt(WhitePoint(kelvin, duv))
    if found is not None:
        assert found.cream_kelvin < 0.0 < found.bright_kelvin
        assert np.isfinite([found.cream_tint, found.bright_tint]).all()


def test_where_paper_is_no_white_any_more_nothing_is_said():
    assert paper_doubt(WhitePoint(24000.0, 0.0)) is None
