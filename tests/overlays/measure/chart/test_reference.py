"""Built-in charts against their published figures."""

import csv

import numpy as np
import pytest

from overlays.measure.chart.reference import BENCH_CHART, BUILT_IN, CHART24
from overlays.signal.gamuts import published_gamut
from tests.places import REFERENCE


def rows(name):
    with (REFERENCE / name).open(newline="") as file:
        return list(csv.DictReader(file))


def test_the_24_patches_are_those_of_1976():
    table = rows("chart24.csv")
    expected = np.array([[float(r[k]) for k in ("X_D65", "Y_D65", "Z_D65")] for r in table])
    np.testing.assert_allclose(CHART24.xyz, expected, atol=6e-6)
    linear = CHART24.xyz @ published_gamut("BT.709").from_xyz.T
    expected = np.array([[float(r[k]) for k in ("r709", "g709", "b709")] for r in table])
    np.testing.assert_allclose(linear, expected, atol=3e-5)
    assert all(r["name"].startswith(n) for r, n in zip(table, CHART24.names, strict=True))


def test_the_bench_chart_is_its_munsell_notation():
    table = rows("munsell.csv")
    assert [r["munsell"] for r in table] == list(BENCH_CHART.names)
    linear = BENCH_CHART.xyz @ published_gamut("BT.709").from_xyz.T
    expected = np.array([[float(r[k]) for k in ("lin_R", "lin_G", "lin_B")] for r in table])
    np.testing.assert_allclose(linear, expected, atol=2e-5)
    lab = np.array([[float(r[k]) for k in "Lab"] for r in table])
    np.testing.assert_allclose(BENCH_CHART.lab, lab, atol=5e-3)


@pytest.mark.parametrize("chart", BUILT_IN, ids=lambda chart: chart.name)
def test_the_last_row_is_neutral_and_nothing_else_is(chart):
    assert chart.neutrals == (18, 19, 20, 21, 22, 23)
    assert len(chart.names) == chart.rows * chart.columns == len(chart.xyz)
