"""A row keeps its label and its value whole, however narrow its column."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.draw.columns.column import Column
from overlays.draw.columns.rows import add_rows, laid_row, rows_height
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Align, Block, Letters, Text
from overlays.draw.layout.theme import theme_for
from overlays.draw.moment.report import Row


def column(width, letters):
    area = Area(20, 10, width, 4000)
    return Column(area, letters, theme_for(800, 480), area.top)


@pytest.mark.parametrize(
    ("width", "label", "lines"),
    [(300, "red to green, st", 1), (120, "R/G, st", 1), (70, "red to green, st", 3)],
)
def test_the_short_label_stands_where_the_long_one_has_no_room(letters, width, label, lines):
    laid = laid_row(Row("red to green, st", "+0.03", short="R/G, st"), column(width, letters), 15)
    assert " ".join(laid.label) == label
    assert laid.value == ("+0.03",)
    assert laid.lines == lines


def test_a_sentence_reads_from_the_left_and_a_number_ends_at_the_right(letters):
    made = column(140, letters)
    rows = [Row("3", "on camera A it is too dark to compare"), Row("a long label here", "+0.03 st")]
    add_rows([laid_row(row, made, 15) for row in rows], made, 15)
    texts = {piece.words: piece for piece in made.pieces if isinstance(piece, Text)}
    assert texts["+0.03 st"].align is Align.RIGHT
    assert next(t for w, t in texts.items() if w.startswith("on camera")).align is Align.LEFT


def test_the_row_that_is_turned_now_is_underlined_as_wide_as_its_label(letters):
    made = column(300, letters)
    rows = [Row("shutter", "180°", is_chosen=True), Row("iris", "f/4")]
    add_rows([laid_row(row, made, 15) for row in rows], made, 15)
    (line,) = [piece for piece in made.pieces if isinstance(piece, Block)]
    assert (line.area.left, line.area.width) == (20, letters.width("shutter", 15))
    assert 10 < line.area.top < 10 + letters.height(15) <= line.area.bottom + 2


WORDS = st.lists(st.text("abcdeg", min_size=1, max_size=8), max_size=6).map(" ".join)
LETTERS = Letters()


@given(st.lists(st.tuples(WORDS, WORDS, WORDS), min_size=1, max_size=5), st.integers(90, 400))
def test_all_of_every_row_lies_in_the_column_and_in_the_height_that_was_told(rows, width):
    made = column(width, LETTERS)
    laid = [laid_row(Row(texts[0], texts[1], short=texts[2]), made, 15) for texts in rows]
    before = made.top
    add_rows(laid, made, 15)
    assert made.top - before == rows_height(laid, made, 15)
    said = " ".join(piece.words for piece in made.pieces if isinstance(piece, Text))
    for piece in made.pieces:
        box = LETTERS.area(piece) if isinstance(piece, Text) else piece.area
        assert made.area.holds(box)
    for label, value, short in rows:
        assert all(word in said for word in value.split())
        whole = all(word in said for word in label.split())
        assert whole or all(word in said for word in short.split())
