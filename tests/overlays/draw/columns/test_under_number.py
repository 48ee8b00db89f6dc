"""The sentence stays where it can; what has no room beside it has its turn."""

import pytest

from overlays.draw.columns.column import Column
from overlays.draw.columns.items import items_of
from overlays.draw.columns.sentence import sentence_of
from overlays.draw.columns.under_number import fits, lay_under
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import TextSize, theme_for
from overlays.draw.moment.report import Report, Row

REPORT = Report(
    "h", "1", "st", "open up by a third", rows=tuple(Row(f"row {n}", f"{n}.50") for n in range(5))
)


def laid(letters, height, turn, *, is_wide):
    theme = theme_for(480, 320)
    column = Column(Area(0, 0, 150, height), letters, theme, 0)
    rest = Column(Area(170, 0, 150, height), letters, theme, 0) if is_wide else column
    pixels = column.size(TextSize.TINY)
    words, items = sentence_of(REPORT, column, TextSize.TINY), items_of(REPORT, rest, pixels)
    all_fits = fits(column, rest, words, items)
    pieces = lay_under(column, rest, words, items, turn, pixels)
    texts = [piece for piece in pieces if isinstance(piece, Text)]
    assert max(text.top + letters.height(text.pixels) for text in texts) <= height + 1
    return " ".join(text.words for text in texts), all_fits


@pytest.mark.parametrize("is_wide", [False, True])
@pytest.mark.parametrize("height", [40, 70, 110, 200])
def test_all_of_it_is_said_at_once_or_in_turns(letters, height, is_wide):
    told = ""
    for turn in range(10):
        said, all_fits = laid(letters, height, turn, is_wide=is_wide)
        told += said
        assert ("part " in said) == (not all_fits)
    assert "open up by a third" in told
    assert all(row.label in told and row.value in told for row in REPORT.rows)


def test_what_to_do_stays_while_rows_take_turns(letters):
    said = [laid(letters, 110, turn, is_wide=False)[0] for turn in range(4)]
    assert all("open up by a third" in each for each in said)
    assert len(set(said)) > 1
