"""What stands under a main number stands whole, or waits for its turn and says so."""

import pytest

from overlays.draw.columns.column import Column
from overlays.draw.columns.items import (
    Item,
    height_of,
    items_of,
    lay_in_turns,
    lay_items,
    parts_of,
)
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import TextSize, theme_for
from overlays.draw.moment.report import Report, Row

THEME = theme_for(800, 480)
REPORT = Report(
    "heading",
    "+1.00",
    "st",
    "words",
    rows=tuple(Row(f"row {n}", f"{n}.00 st") for n in range(6)),
    notes=("a note that says something", "another note " * 12),
)


def column_of(letters, width=220, height=300):
    area = Area(10, 10, width, height)
    return Column(area, letters, THEME, area.top)


def said(column):
    return " ".join(piece.words for piece in column.pieces if isinstance(piece, Text))


def test_items_are_as_high_as_is_said(letters):
    column = column_of(letters, height=600)
    pixels = column.size(TextSize.SMALL)
    items = items_of(REPORT, column, pixels)
    lay_items(items, column, pixels)
    assert column.top - column.area.top == height_of(items)
    assert "row 5" in said(column)
    assert "another note" in said(column)


@pytest.mark.parametrize("height", [60, 90, 140])
def test_what_has_no_room_has_its_turn(letters, height):
    told = ""
    for turn in range(20):
        column = column_of(letters, height=height)
        pixels = column.size(TextSize.TINY)
        lay_in_turns(items_of(REPORT, column, pixels), column, turn, pixels, pixels)
        assert column.top <= column.area.bottom
        assert "part " in said(column)
        told += said(column)
    assert all(row.label in told and row.value in told for row in REPORT.rows)
    assert all(word in told for note in REPORT.notes for word in note.split())


def test_what_has_room_is_said_at_once_without_a_word_of_turns(letters):
    column = column_of(letters)
    items = [Item(20, lines=("one",)), Item(20, lines=("two",))]
    lay_in_turns(items, column, 3, 15, 15)
    assert said(column) == "one two"


@pytest.mark.parametrize(
    ("size", "is_wide"), [((460, 220), True), ((460, 400), False), ((280, 100), False)]
)
def test_a_wide_area_has_two_parts_that_do_not_meet(letters, size, is_wide):
    column = column_of(letters, *size)
    left, right = parts_of(column.area, column)
    assert (right is not None) == is_wide
    if right is None:
        assert left == column.area
        return
    assert not left.meets(right)
    assert column.area.holds(left)
    assert column.area.holds(right)
    assert right.right == column.area.right
    # Rows are label and value side by side; a number is one word: the right part is the wider.
    assert 1.0 < right.width / left.width < 1.4
