"""What is stacked in a column stands inside of it."""

import pytest

from overlays.draw.columns.column import Column
from overlays.draw.layout.areas import Area
from overlays.draw.layout.theme import TEXT, theme_for

AREA = Area(20, 10, 143, 300)


@pytest.fixture
def column(letters):
    return Column(AREA, letters, theme_for(480, 320), AREA.top)


def test_cells_hold_labels_that_have_room_and_no_others(column):
    short = [(f"{name}, st", "−4.46", TEXT) for name in "RGB"]
    assert column.holds(short)
    assert not column.holds([(f"{name} clipped", "0 %", TEXT) for name in "RGB"])


def test_a_rule_is_as_high_as_it_says(column):
    before = column.top
    column.rule()
    assert column.top - before == column.rule_height
