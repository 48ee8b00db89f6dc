"""Colour temperature and Duv against the reference figures and colour-science (Ohno 2013)."""

import csv

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.colour.locus import light_uv
from overlays.measure.colour.whitepoint import (
    FURTHEST_DUV,
    uv_slopes,
    white_point,
    white_slopes,
    xyz_to_uv,
)
from tests.places import REFERENCE

TABLE = REFERENCE / "whitepoints.csv"


def reference():
    with TABLE.open(newline="") as file:
        rows = list(csv.DictReader(file))
    values = {(r["item"], r["field"]): float(r["value"]) for r in rows}
    return [(name, values) for name in sorted({r["item"] for r in rows})]


@pytest.mark.parametrize(("name", "values"), reference(), ids=lambda v: v if v is str(v) else "")
def test_reference_whites(name, values):
    found = white_point(values[name, "u"], values[name, "v"])
    # The reference prints u and v to five digits: 5e-6 is about 0.1 % of the temperature at most.
    assert found.kelvin == pytest.approx(values[name, "CCT_Ohno"], rel=1e-3)
    assert found.duv == pytest.approx(values[name, "Duv_Ohno"], abs=2e-5)


@given(st.floats(2000.0, 10000.0), st.floats(-0.03, 0.03))
def test_agrees_with_ohno_2013(kelvin, duv):
    u, v = light_uv(kelvin, duv)
    expected = colour.temperature.uv_to_CCT_Ohno2013(np.array([u, v]))
    found = white_point(u, v)
    assert found.kelvin == pytest.approx(expected[0], abs=1.0)
    assert found.duv == pytest.approx(expected[1], abs=2e-5)


@given(st.floats(1050.0, 24000.0), st.floats(-0.02, 0.02))
def test_finds_the_light_it_was_given(kelvin, duv):
    found = white_point(*light_uv(kelvin, duv))
    assert found.kelvin == pytest.approx(kelvin, rel=1e-6)
    assert found.duv == pytest.approx(duv, abs=1e-9)
    assert found.mired == pytest.approx(1e6 / kelvin, rel=1e-6)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_never_answers_outside_its_limits(u, v):
    found = white_point(u, v)
    assert found is None or (1000.0 <= found.kelvin <= 25000.0 and abs(found.duv) <= FURTHEST_DUV)


def test_no_temperature_where_it_means_nothing():
    assert white_point(*light_uv(5000.0, 0.051)) is None  # CIE 15: not beyond 0.05
    assert white_point(*light_uv(5000.0, 0.049)) is not None
    assert white_point(0.45, 0.36) is None  # redder than 1000 K
    assert white_point(0.17, 0.24) is None  # bluer than 25000 K
    assert white_point(float("nan"), 0.3) is None
    assert white_point(*xyz_to_uv(np.zeros(3))) is None


@given(st.floats(1500.0, 12000.0), st.floats(-0.02, 0.02))
def test_slopes_are_the_derivatives(kelvin, duv):
    u, v = light_uv(kelvin, duv)
    h = 1e-6
    rows = []
    for du, dv in ((h, 0.0), (0.0, h)):
        ahead, behind = white_point(u + du, v + dv), white_point(u - du, v - dv)
        rows.append([(ahead.mired - behind.mired) / (2 * h), (ahead.duv - behind.duv) / (2 * h)])
    expected = np.array(rows).T
    np.testing.assert_allclose(
        white_slopes(u, v, 1e6 / kelvin), expected, rtol=1e-3, atol=1e-3 * np.abs(expected).max()
    )


def test_uv_slopes_are_the_derivatives():
    xyz, h = np.array([0.3, 0.4, 0.2]), 1e-6
    for axis in range(3):
        step = np.eye(3)[axis] * h
        expected = (np.array(xyz_to_uv(xyz + step)) - xyz_to_uv(xyz - step)) / (2 * h)
        np.testing.assert_allclose(uv_slopes(xyz)[:, axis], expected, rtol=1e-6)
