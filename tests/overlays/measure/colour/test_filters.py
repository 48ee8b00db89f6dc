"""Conversion filters: the nearest one, or none."""

import pytest

from overlays.measure.colour.filters import SHEETS, nearest_filter


@pytest.mark.parametrize(
    ("shift", "name"),
    [
        (-133.9, "full CTB"),  # 3200 K to 5600 K, arithmetic
        (133.9, "3/4 CTO"),
        (160.0, "full CTO"),
        (-54.0, "1/4 CTB"),
        (1000.0, "full CTO"),
    ],
)
def test_nearest(shift, name):
    assert nearest_filter(shift).name == name


def test_none_where_the_smallest_would_overshoot():
    assert nearest_filter(5.0) is None
    assert nearest_filter(0.0) is None


def test_orange_warms_and_blue_cools():
    for sheet in SHEETS:
        assert (sheet.mired > 0) == sheet.name.endswith("CTO")
