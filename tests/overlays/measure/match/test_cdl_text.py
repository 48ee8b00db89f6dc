"""Files of a CDL, read back by OpenColorIO."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest

from overlays.measure.match.cdl import Cdl, apply_cdl
from overlays.measure.match.cdl_text import NAMESPACE, cc_text, cdl_text
from tests.independent_cdl import asc, independent, ocio


@pytest.mark.parametrize(("text", "ending"), [(cc_text, "cc"), (cdl_text, "cdl")])
def test_a_file_is_read_back_by_another_implementation(tmp_path, text, ending):
    cdl = Cdl((1.1, 0.9, 1.02), (0.01, -0.02, 0.0), (1.1, 0.95, 1.0), 0.9)
    path = tmp_path / f"match.{ending}"
    path.write_text(text(cdl, "b-to-a", "B & co <to> A", "V-Log, its own 0 to 1"), "utf-8")
    found = ocio.CDLTransform.CreateFromFile(str(path), "b-to-a")
    assert [*found.getSOP()] == pytest.approx([*cdl.slope, *cdl.offset, *cdl.power], abs=1e-6)
    assert found.getSat() == pytest.approx(cdl.saturation)
    rgb = np.random.default_rng(5).uniform(0.0, 1.0, (20, 3))
    assert apply_cdl(cdl, rgb) == pytest.approx(independent(asc(found), rgb), abs=2e-5)


def test_the_file_has_the_elements_of_the_standard():
    root = ET.fromstring(cdl_text(Cdl(), 'a "b"', "x", "y").encode())
    space = {"c": NAMESPACE}
    assert root.tag == f"{{{NAMESPACE}}}ColorDecisionList"
    correction = root.find("c:ColorDecision/c:ColorCorrection", space)
    assert correction.get("id") == 'a "b"'
    assert correction.find("c:SOPNode/c:Slope", space).text.split() == ["1.000000"] * 3
    assert correction.find("c:SOPNode/c:Offset", space).text.split() == ["0.000000"] * 3
    assert correction.find("c:SOPNode/c:Power", space).text.split() == ["1.000000"] * 3
    assert correction.find("c:SatNode/c:Saturation", space).text == "1.000000"
