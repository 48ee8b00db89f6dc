"""L*a*b*, CIEDE2000 and adaptation against published pairs and colour-science."""

import csv

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from overlays.measure.colour.cielab import (
    bradford,
    chroma,
    ciede2000,
    hue_degrees,
    lab_to_xyz,
    turn_degrees,
    xyz_to_lab,
)
from overlays.signal.gamuts import D65
from tests.places import REFERENCE

TABLE = REFERENCE / "ciede2000.csv"
ILLUMINANT_C = (0.31006, 0.31616)

labs = arrays(np.float64, (3,), elements=st.floats(-100.0, 100.0)).map(
    lambda a: np.array([abs(a[0]), a[1], a[2]])
)


def pairs():
    with TABLE.open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", pairs(), ids=lambda row: row["pair"])
def test_the_34_published_pairs(row):
    one, two = (np.array([float(row[k + n]) for k in "Lab"]) for n in "12")
    # Sharma, Wu, Dalal (2005) Table 1 prints four digits.
    assert ciede2000(one, two) == pytest.approx(float(row["dE00_published"]), abs=5.1e-5)
    assert ciede2000(two, one) == pytest.approx(float(row["dE00_published"]), abs=5.1e-5)


def test_there_are_34_pairs():
    assert len(pairs()) == 34


def test_hues_exactly_opposite_keep_their_sign():
    one, two = np.array([0.0, 0.0, 27.0]), np.array([1.0, 0.0, -1.0])
    assert ciede2000(one, two) == pytest.approx(colour.delta_E(one, two), abs=1e-9)


@given(labs, labs)
def test_agrees_with_colour_science(one, two):
    assert ciede2000(one, two) == pytest.approx(colour.delta_E(one, two), abs=1e-6)


@given(labs)
def test_equal_colours_do_not_differ(lab):
    assert ciede2000(lab, lab) == 0.0


def test_arrays_are_taken_element_by_element():
    rows = pairs()
    one, two = (np.array([[float(r[k + n]) for k in "Lab"] for r in rows]) for n in "12")
    expected = [float(ciede2000(a, b)) for a, b in zip(one, two, strict=True)]
    np.testing.assert_array_equal(ciede2000(one, two), expected)


@given(arrays(np.float64, (4, 3), elements=st.floats(0.0, 1.2)))
def test_lab_agrees_with_colour_science(xyz):
    np.testing.assert_allclose(xyz_to_lab(xyz, D65), colour.XYZ_to_Lab(xyz, D65), atol=1e-9)


def test_bradford_agrees_with_colour_science():
    expected = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(ILLUMINANT_C), colour.xy_to_XYZ(D65), transform="Bradford"
    )
    np.testing.assert_allclose(bradford(ILLUMINANT_C, D65), expected, atol=1e-9)


def test_hue_and_chroma():
    lab = np.array([[50.0, 3.0, 4.0], [50.0, 0.0, -2.0]])
    np.testing.assert_allclose(chroma(lab), [5.0, 2.0])
    np.testing.assert_allclose(hue_degrees(lab), [53.13010235, 270.0])
    assert turn_degrees(np.float64(350.0), np.float64(10.0)) == 20.0
    assert turn_degrees(np.float64(10.0), np.float64(350.0)) == -20.0


@given(arrays(np.float64, (4, 3), elements=st.floats(0.0, 1.2)))
def test_lab_and_xyz_are_inverse(xyz):
    np.testing.assert_allclose(lab_to_xyz(xyz_to_lab(xyz, D65), D65), xyz, atol=1e-9)
