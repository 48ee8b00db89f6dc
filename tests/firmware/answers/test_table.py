import io

import pytest

from firmware.answers.table import Table, notes, print_lines, sentences


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def printed(*lines):
    out = io.StringIO()
    print_lines(lines, out)
    return out.getvalue()


def test_lines_alone_are_printed_as_they_are():
    long = "x" * 120
    assert printed("[bold]one", long) == f"[bold]one\n{long}\n"


def test_a_table_has_its_headings_and_aligns_numbers():
    lines = printed(Table(("name", "st"), (("grey", "0.00"), ("white", "+2.10")))).splitlines()
    assert lines[0].split() == ["name", "st"]
    grey, white = lines[2], lines[3]
    assert grey.index("grey") == white.index("white")
    assert grey.rstrip().endswith("0.00")
    assert len(grey.rstrip()) == len(white.rstrip())


def test_markup_in_names_is_no_markup_beside_a_table_either():
    assert "[bold]kit" in printed("[bold]kit", Table(("a",), (("1",),)))


def test_sentences_and_notes():
    assert sentences(["open the lens", "x"]) == ["Open the lens.", "X."]
    assert notes(["a", "b", "a"], ["b", None]) == ["Note: a."]


def test_colours_are_for_headings_and_no_number_is_painted(monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    text = printed("mean 0.36 st of 'grey'", Table(("name", "st"), (("grey", "+2.10"),)))
    heading, *rows = [line for line in text.splitlines() if "st" in line or "grey" in line][1:]
    assert "\x1b[" in heading
    assert "\x1b[" not in text.splitlines()[0]
    assert all("\x1b[" not in row for row in rows if "grey" in row)


def test_long_lines_beside_a_table_are_wrapped_as_the_table_is():
    long = "word " * 40
    lines = printed(long, Table(("a",), (("1",),))).splitlines()
    assert max(map(len, lines)) <= 80
    assert " ".join(lines).count("word") == 40


def test_a_question_keeps_its_mark():
    assert sentences(["is it so?"]) == ["Is it so?"]
    assert notes(["is it dirty?"]) == ["Note: is it dirty?"]
