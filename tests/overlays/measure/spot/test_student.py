"""Student's t against published tables."""

import pytest

from overlays.measure.spot.student import student95


@pytest.mark.parametrize(
    ("degrees", "value"),
    # Two-sided 95 % points, Abramowitz & Stegun table 26.10.
    [(1, 12.706), (2, 4.303), (3, 3.182), (5, 2.571), (9, 2.262), (30, 2.042), (1e9, 1.960)],
)
def test_is_that_of_the_tables(degrees, value):
    assert student95(float(degrees)) == pytest.approx(value, rel=0.005)
