"""The locus against Planck's law summed with colour-science's observer, and CIE daylight."""

import csv

import colour
import numpy as np
import pytest

from overlays.measure.colour.locus import (
    HIGHEST_KELVIN,
    LOWEST_KELVIN,
    daylight_xy,
    light_uv,
    light_xy,
    locus_bend,
    locus_slope,
    locus_uv,
    uv_to_xy,
    xy_to_uv,
)
from tests.places import REFERENCE

TABLE = REFERENCE / "whitepoints.csv"


def planck_uv(kelvin):
    """Independent: Planck's law with c2 = 1.4388e-2 (CIE 15) over the CIE 1931 observer."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    wave = cmfs.wavelengths * 1e-9
    xyz = (wave**-5 / np.expm1(1.4388e-2 / (wave * kelvin))) @ cmfs.values
    return xy_to_uv(xyz[0] / xyz.sum(), xyz[1] / xyz.sum())


@pytest.mark.parametrize("kelvin", np.geomspace(LOWEST_KELVIN, HIGHEST_KELVIN, 60))
def test_locus_is_plancks_law(kelvin):
    # Within 4e-9, as the module says of its series.
    np.testing.assert_allclose(locus_uv(1e6 / kelvin), planck_uv(kelvin), rtol=0.0, atol=4e-9)


def test_reference_whites_agree():
    with TABLE.open(newline="") as file:
        rows = list(csv.DictReader(file))
    values = {(r["item"], r["field"]): float(r["value"]) for r in rows}
    names = {r["item"] for r in rows}
    checked = 0
    for name in names:
        xy = values[name, "x"], values[name, "y"]
        if name.startswith("Planckian"):
            ours = light_xy(float(name.split()[1]))
        elif name.startswith("CIE D locus"):
            ours = daylight_xy(float(name.split()[3]))
        else:
            continue
        assert ours == pytest.approx(xy, abs=1.1e-5)
        checked += 1
    assert checked >= 10


@pytest.mark.parametrize("kelvin", [4000.0, 5000.0, 6999.0, 7001.0, 12000.0, 25000.0])
def test_daylight_is_cie_daylight(kelvin):
    expected = colour.temperature.CCT_to_xy_CIE_D(kelvin)
    assert daylight_xy(kelvin) == pytest.approx(tuple(expected), abs=1e-12)


@pytest.mark.parametrize("mired", [50.0, 154.0, 312.5, 900.0])
def test_slope_and_bend_are_the_derivatives(mired):
    h = 0.01
    ahead, behind, here = (np.array(locus_uv(mired + d)) for d in (h, -h, 0.0))
    np.testing.assert_allclose(locus_slope(mired), (ahead - behind) / (2 * h), rtol=1e-5)
    np.testing.assert_allclose(
        locus_bend(mired), (ahead - 2 * here + behind) / h**2, rtol=1e-3, atol=1e-9
    )


def test_uv_and_xy_are_inverse():
    assert uv_to_xy(*xy_to_uv(0.3127, 0.3290)) == pytest.approx((0.3127, 0.3290), abs=1e-12)


def test_positive_duv_is_green():
    # Green lies at greater y than the black body (ANSI C78.377: positive Duv above the locus).
    assert light_xy(4000.0, 0.01)[1] > light_xy(4000.0)[1]
    u, v = light_uv(3200.0)
    assert np.hypot(*(np.array(light_uv(3200.0, -0.02)) - (u, v))) == pytest.approx(0.02)
