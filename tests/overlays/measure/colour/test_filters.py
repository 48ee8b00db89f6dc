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


@pytest.mark.parametrize(
    ("name", "of", "makes"),
    [
        # Common practice, no source: a sheet is sold by what it makes of daylight or of tungsten.
        ("1/8 CTO", 6500.0, 5550.0),
        ("1/4 CTO", 6500.0, 4600.0),
        ("1/2 CTO", 6500.0, 3800.0),
        ("3/4 CTO", 6500.0, 3600.0),
        ("full CTO", 6500.0, 3200.0),
        ("1/8 CTB", 3200.0, 3400.0),
        ("1/4 CTB", 3200.0, 3600.0),
        ("1/2 CTB", 3200.0, 4270.0),
        ("3/4 CTB", 3200.0, 5000.0),
        ("full CTB", 3200.0, 5700.0),
    ],
)
def test_a_sheet_makes_of_a_light_what_it_is_sold_for(name, of, makes):
    (sheet,) = [sheet for sheet in SHEETS if sheet.name == name]
    assert 1e6 / of + sheet.mired == pytest.approx(1e6 / makes, abs=1.0)


def test_two_full_sheets_are_a_double_one():
    mired = {sheet.name: sheet.mired for sheet in SHEETS}
    assert mired["double CTB"] == 2.0 * mired["full CTB"]
    assert len(mired) == len(SHEETS) == 11
