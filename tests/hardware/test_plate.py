"""The plate can be printed, is that of its drawing, and has the seat its thread needs."""

import re

import numpy as np
import pytest

from tests.hardware import plate
from tests.places import ROOT

TEXT = plate.SCAD.read_text(encoding="utf-8")
README = (ROOT / "hardware" / "README.md").read_text(encoding="utf-8")
LEAST_WALL = 2.4
"""Millimetres, of walls that bear something: layerx3d.in, "FDM design rules"; others say 2 mm and
more (bicester3d.co.uk, "Design for 3D printing")."""
PETG = 1.27
"""Grams a cubic centimetre (common practice, no source)."""


@pytest.fixture(scope="module")
def solid():
    return plate.read(plate.STL)


def lengths(name):
    """What the drawing says of a name: one number or several."""
    found = re.search(rf"^{name} = \[?([\d., ]+)\]?;", TEXT, re.MULTILINE)
    return [float(each) for each in found[1].split(",")]


def test_it_is_one_closed_solid(solid):
    assert plate.open_edges(solid) == []
    assert plate.shells(solid) == 1
    assert plate.volume_mm3(solid) > 0


def test_no_wall_is_too_thin(solid):
    assert plate.thinnest_mm(solid) >= LEAST_WALL


def test_nothing_overhangs_as_it_lies(solid):
    """Steeper than 45 degrees needs a support (the same two pages)."""
    hanging = plate.normals(solid)[:, 2] < -np.sqrt(0.5)
    assert np.abs(solid[hanging][:, :, 2]).max() == 0.0


def box(*size):
    """A box: two triangles a side, outwards."""
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float) * size
    sides = ["0132", "4675", "0451", "2376", "0264", "1573"]
    return np.array(
        [corners[[int(side[0]), int(side[a]), int(side[a + 1])]] for side in sides for a in (1, 2)]
    )


def test_the_checks_notice_what_is_wrong():
    whole = box(4.0, 5.0, 1.5)
    assert plate.open_edges(whole) == []
    assert plate.volume_mm3(whole) == pytest.approx(30.0)
    assert plate.shells(whole) == 1
    assert plate.thinnest_mm(whole) == pytest.approx(1.5)
    assert plate.open_edges(whole[1:]) != []
    assert plate.shells(np.concatenate([whole, whole + 50.0])) == 2
    assert plate.volume_mm3(whole[:, ::-1]) < 0


def test_the_seat_takes_an_insert_of_a_quarter_inch():
    """PEM LSZ, 1/4-20 (pencomsf.com): hole 0.315 in, length 0.500 in, wall 0.142 in at least."""
    (hole,), (across, deep) = lengths("seat_hole"), lengths("seat")
    assert hole == pytest.approx(0.315 * 25.4, abs=0.01)
    assert deep == pytest.approx(0.500 * 25.4)
    assert (across - hole) / 2 >= 0.142 * 25.4


def test_the_board_s_holes_are_where_the_board_has_them():
    """58 x 49 mm, 2.7 mm across for M2.5 (kapycad.com after the maker's mechanical drawing)."""
    assert lengths("board") == [58.0, 49.0]
    assert lengths("standoff_hole")[0] < 2.5
    assert lengths("standoff")[0] > 2.7


def test_the_eye_is_as_strong_as_the_plate_is_thick():
    (hole,), (across,) = lengths("eye_hole"), lengths("eye")
    assert (across - hole) / 2 >= lengths("plate")[2]


def test_the_readme_says_its_weight_and_size(solid):
    grams = plate.volume_mm3(solid) / 1000.0 * PETG
    size = (solid.max((0, 1)) - solid.min((0, 1))).round()
    assert f"| plate, printed solid of PETG | {grams:.0f} g |" in README
    assert "{:.0f} x {:.0f} x {:.0f} mm".format(*size) in README


@pytest.mark.skipif(plate.tool() is None, reason="needs OpenSCAD (Debian's package openscad)")
def test_the_file_that_ships_is_made_from_the_drawing(solid):
    """Mend it by `python -m tests.hardware.plate`."""
    made = plate.made()
    assert len(made) == len(solid)
    assert plate.volume_mm3(made) == pytest.approx(plate.volume_mm3(solid), rel=1e-6)
    assert plate.packed(made) == plate.STL.read_bytes()
