"""Gamuts against the standards' figures and colour-science 0.4.7."""

import csv

import colour
import numpy as np
import pytest

from overlays.errors import UnknownGamutError
from overlays.signal.gamuts import published_gamut, published_gamuts
from tests.places import REFERENCE

TABLE = REFERENCE / "gamut_bt709.csv"

# Our name: the same gamut in colour-science 0.4.7, which cites the same publications. A name that
# begins with a space, or in lower case, is the end of the one it has there: makers are left out.
INDEPENDENT = {
    "BT.709": "ITU-R BT.709",
    "BT.2020": "ITU-R BT.2020",
    "BT.601 525": "SMPTE C",
    "BT.601 625": "ITU-R BT.470 - 625",
    "BT.470 M": "ITU-R BT.470 - 525",
    "P3-D65": "P3-D65",
    "DCI-P3": "DCI-P3",
    "AP0": "ACES2065-1",
    "AP1": "ACEScg",
    "S-Gamut": "S-Gamut",
    "S-Gamut3": "S-Gamut3",
    "S-Gamut3.Cine": "S-Gamut3.Cine",
    "V-Gamut": "V-Gamut",
    "Cinema Gamut": "Cinema Gamut",
    "F-Gamut": "F-Gamut",
    "F-Gamut C": "F-Gamut C",
    "N-Gamut": "N-Gamut",
    "D-Gamut": " D-Gamut",
    "AWG3": " Wide Gamut 3",
    "AWG4": " Wide Gamut 4",
    "REDWideGamutRGB": "REDWideGamutRGB",
    "DaVinci Wide Gamut": "DaVinci Wide Gamut",
    "Wide Gamut Generation 5": "magic Wide Gamut",
}


def test_every_gamut_has_an_independent_check():
    assert {gamut.name for gamut in published_gamuts()} == set(INDEPENDENT)


@pytest.mark.parametrize("name", INDEPENDENT)
def test_matrix_agrees_with_colour_science(name):
    gamut = published_gamut(name)
    theirs = INDEPENDENT[name]
    if theirs not in colour.RGB_COLOURSPACES:
        (theirs,) = [known for known in colour.RGB_COLOURSPACES if known.endswith(theirs)]
    space = colour.RGB_COLOURSPACES[theirs]
    # Derived on both sides: some publications round the matrix they print.
    expected = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    np.testing.assert_allclose(gamut.to_xyz, expected, atol=1e-12)
    np.testing.assert_allclose(gamut.from_xyz @ gamut.to_xyz, np.eye(3), atol=1e-12)


@pytest.mark.parametrize("name", INDEPENDENT)
def test_white_is_white(name):
    gamut = published_gamut(name)
    xyz = gamut.to_xyz @ np.ones(3)
    assert xyz[1] == pytest.approx(1.0, abs=1e-12)
    assert xyz[0] / xyz.sum() == pytest.approx(gamut.white[0], abs=1e-12)


def test_bt709_agrees_with_the_reference_figures():
    with TABLE.open(newline="") as file:
        rows = list(csv.DictReader(file))
    gamut = published_gamut("BT.709")
    assert len(rows) == 18
    for row in rows:
        matrix = gamut.to_xyz if row["section"] == "matrix_rgb_to_xyz" else gamut.from_xyz
        axes = ("XYZ", "RGB") if row["section"] == "matrix_rgb_to_xyz" else ("RGB", "XYZ")
        at = axes[0].index(row["field"][0]), axes[1].index(row["field"][1])
        assert matrix[at] == pytest.approx(float(row["value"]), abs=1e-9)


def test_names_are_forgiving_and_a_wrong_one_gets_a_sentence():
    assert published_gamut("s-gamut3cine").name == "S-Gamut3.Cine"
    with pytest.raises(UnknownGamutError, match=r"unknown gamut 'V-Gamot'; did you mean V-Gamut"):
        published_gamut("V-Gamot")
    with pytest.raises(UnknownGamutError, match=r"known are BT\.709"):
        published_gamut("qqqqqq")
