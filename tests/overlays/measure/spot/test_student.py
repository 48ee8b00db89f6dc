"""Student's t against published tables."""

import math

import numpy as np
import pytest

from overlays.measure.spot.student import student95


@pytest.mark.parametrize(
    ("degrees", "value"),
    # Two-sided 95 % points, Abramowitz & Stegun table 26.10.
    [(1, 12.706), (2, 4.303), (3, 3.182), (5, 2.571), (9, 2.262), (30, 2.042), (1e9, 1.960)],
)
def test_is_that_of_the_tables(degrees, value):
    assert student95(float(degrees)) == pytest.approx(value, rel=0.005)


def exact_student95(degrees):
    """By integrating its density (Student 1908), to 1e-9."""
    x = np.linspace(0.0, 6.0, 200_001)
    scale = math.exp(math.lgamma((degrees + 1) / 2) - math.lgamma(degrees / 2))
    density = scale / math.sqrt(degrees * math.pi) * (1 + x**2 / degrees) ** (-(degrees + 1) / 2)
    steps = 0.5 * (density[1:] + density[:-1]) * (x[1] - x[0])
    return float(np.interp(0.475, np.concatenate([[0.0], np.cumsum(steps)]), x))


@pytest.mark.parametrize("degrees", [4, 5, 6, 8, 12, 20])
def test_the_expansion_of_student_is_right_to_its_fourth_term(degrees):
    # What is left out falls as the fifth power of the degrees.
    assert exact_student95(10) == pytest.approx(2.22814, abs=1e-5)  # tables
    assert abs(student95(degrees) - exact_student95(degrees)) < 1.0 / degrees**5
