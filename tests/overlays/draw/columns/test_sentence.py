import pytest

from overlays.draw.columns.column import Column
from overlays.draw.columns.sentence import MOST_LINES, sentence_of
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import RED_WORDS, TextSize, theme_for
from overlays.draw.moment.report import Report, Tone


def column_of(letters):
    return Column(Area(10, 10, 200, 300), letters, theme_for(800, 480), 10)


@pytest.mark.parametrize("words", ["leave it", "open to f/2.8, then bring up to ISO 1600 " * 4])
def test_a_sentence_is_said_to_its_end_and_is_as_high_as_it_says(letters, words):
    column = column_of(letters)
    made = sentence_of(Report("h", "1", "st", words, Tone.ALARM), column, TextSize.BODY)
    assert made.is_short == (len(made.lines) <= MOST_LINES)
    made.say(column)
    assert column.top - column.area.top == made.height
    texts = [piece for piece in column.pieces if isinstance(piece, Text)]
    assert " ".join(text.words for text in texts) == words.strip()
    assert {text.colour for text in texts} == {RED_WORDS}


def test_in_the_smallest_type_it_is_as_long_as_it_must_be(letters):
    words = "one thing and another " * 30
    assert sentence_of(Report("h", "1", "st", words), column_of(letters), TextSize.TINY).is_short
