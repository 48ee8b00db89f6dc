"""CGATS.17 / ISO 28178 text: read whole, or one sentence with the line."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.errors import ChartFileError
from overlays.measure.chart.cgats import parse_cgats

TEXT = """CGATS.17
ORIGINATOR\t"a test"   # a comment
DESCRIPTOR "two words # no comment"
KEYWORD "PRIVATE"
PRIVATE 12
NUMBER_OF_FIELDS 4
BEGIN_DATA_FORMAT
SAMPLE_ID LAB_L
LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
A1 37.99 13.56 14.06
"A 2" 65.71
18.13 17.81
END_DATA
what follows is another table
"""


def test_a_table_is_read():
    table = parse_cgats(TEXT)
    assert table.fields == ("SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B")
    assert table.rows == (("A1", "37.99", "13.56", "14.06"), ("A 2", "65.71", "18.13", "17.81"))
    assert table.lines == (13, 14)
    assert table.keywords["DESCRIPTOR"] == "two words # no comment"
    assert table.keywords["ORIGINATOR"] == "a test"
    assert table.keywords["PRIVATE"] == "12"
    assert table.column("LAB_A") == ("13.56", "18.13")
    with pytest.raises(KeyError):
        table.column("XYZ_X")


def test_a_row_has_the_line_it_starts_on_however_it_is_broken():
    rows = "A1\n37.99 13.56\n14.06 A2\n\n65.71 18.13 17.81 A3 1 2\n3"
    text = TEXT.replace(TEXT[TEXT.index("A1 ") : TEXT.index("END_DATA\n")], rows + "\n")
    table = parse_cgats(text.replace("SETS 2", "SETS 3"))
    first = text[: text.index("A1\n")].count("\n") + 1
    assert [row[0] for row in table.rows] == ["A1", "A2", "A3"]
    assert table.lines == (first, first + 2, first + 4)


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_any_line_ends_and_a_byte_order_mark(newline):
    text = "\ufeff" + TEXT.replace("\n", newline)
    assert parse_cgats(text).rows == parse_cgats(TEXT).rows


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "no BEGIN_DATA"),
        ("nonsense\nmore", "no BEGIN_DATA"),
        (TEXT.replace("END_DATA\n", ""), "line 16: the text ends within BEGIN_DATA of line 12"),
        (TEXT.replace("BEGIN_DATA_FORMAT\n", "", 1), "line 9: END_DATA_FORMAT without"),
        (TEXT.replace("END_DATA_FORMAT\n", ""), "line 11: BEGIN_DATA before END_DATA_FORMAT"),
        ("BEGIN_DATA\n1\nEND_DATA", "line 1: BEGIN_DATA before any BEGIN_DATA_FORMAT"),
        (TEXT.replace(" 14.06", ""), "line 13: the data hold 7 words, which 4 columns"),
        (TEXT.replace("SETS 2", "SETS 3"), "NUMBER_OF_SETS says 3, but there are 2 rows"),
        (TEXT.replace("LAB_B", "LAB_A"), "names LAB_A twice"),
        (TEXT.replace('"A 2"', '"A 2'), "line 14: a quotation mark is opened"),
        ("BEGIN_DATA_FORMAT\nA\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA", "no row between"),
        ("x" * 30_000, "line 1 is 30000 characters"),
    ],
)
def test_a_mistake_gets_one_sentence_with_its_line(text, sentence):
    with pytest.raises(ChartFileError) as caught:
        parse_cgats(text)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


@given(st.text(max_size=400))
def test_any_text_is_a_table_or_a_sentence(text):
    with suppress(ChartFileError):
        assert parse_cgats(text).rows


PIECES = st.sampled_from(
    [
        "BEGIN_DATA",
        "END_DATA",
        "BEGIN_DATA_FORMAT",
        "END_DATA_FORMAT",
        "\n",
        " ",
        "A",
        "1.5",
        '"',
        "#",
    ]
)


@given(st.lists(PIECES, max_size=40).map(" ".join))
def test_any_order_of_marks_is_a_table_or_a_sentence(text):
    try:
        table = parse_cgats(text)
    except ChartFileError:
        return
    assert all(len(row) == len(table.fields) for row in table.rows)


WORDS = st.text(
    st.characters(codec="ascii", exclude_characters='"\n\r\x0b\x0c\x1c\x1d\x1e', min_codepoint=32),
    min_size=1,
    max_size=8,
).filter(lambda word: word.upper() not in {"BEGIN_DATA", "END_DATA"})


@given(st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=10))
def test_what_is_written_is_read_back(rows):
    lines = [f'"{a}" "{b}"' for a, b in rows]
    text = "\n".join(
        ["BEGIN_DATA_FORMAT", "ONE TWO", "END_DATA_FORMAT", "BEGIN_DATA", *lines, "END_DATA"]
    )
    assert parse_cgats(text).rows == tuple(rows)


def test_a_count_of_thousands_of_digits_is_a_wrong_count():
    """It ended in ValueError: Python reads no such number (issue 19, item 5)."""
    with pytest.raises(ChartFileError, match="NUMBER_OF_SETS says 999999999999"):
        parse_cgats(f"NUMBER_OF_SETS {'9' * 5000}\n{SHORT}")


SHORT = """BEGIN_DATA_FORMAT
SAMPLE_ID XYZ_Y
END_DATA_FORMAT
BEGIN_DATA
A1 90.0
A2 18.4
END_DATA"""
