import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from firmware.instruments.match.cdl_file import CC, CDL, ending_of, remainder_text
from overlays.measure.match.cdl import Cdl
from overlays.measure.match.remainder import Remainder
from overlays.signal.published import published_curve

REST = Remainder(Cdl((1.1, 1.0, 0.9), (0.01, 0.0, 0.0), (1.0, 1.0, 1.0), 0.95), np.zeros((1, 3)))


@pytest.mark.parametrize(
    ("name", "outermost"),
    [("b.cc", "ColorCorrection"), ("b.CC", "ColorCorrection"), ("b.cdl", "ColorDecisionList")],
)
def test_the_ending_says_which_kind_of_file(name, outermost):
    text = remainder_text(REST, published_curve("V-Log"), "b", ending_of(Path(name)))
    root = ET.fromstring(text.encode())
    assert root.tag.endswith(outermost)
    assert 'id="b"' in text


def test_a_name_without_either_ending_is_to_have_the_second():
    assert (ending_of(Path("b.cc")), ending_of(Path("b")), ending_of(Path("b.xml"))) == (
        CC,
        CDL,
        CDL,
    )


def test_it_says_which_signal_its_numbers_are_meant_for():
    # V-Log's published table: 18 % lies at code 433 of 1023
    text = remainder_text(REST, published_curve("V-Log"), "b", CC)
    assert "V-Log" in text
    assert f"{433 / 1023:.3f}" in text
