import tomllib

from hypothesis import given
from hypothesis import strategies as st

from firmware.profiles.key_lines import key_lines, line_of

TEXT = '''# a comment = 1
title = "x"
notes = """
curve = "not a key"
"""
curve = "V-Log"
stripes = [
    {at = "0 st", within = "0.2 st"},
    # {above = "no entry"}

    {above = "95 %"},
]
target = "0 st"
[signal]
range = "full"
'''


def test_keys_are_found_where_they_stand():
    lines = key_lines(TEXT)
    assert lines["title",] == 2
    assert lines["curve",] == 6
    assert lines["stripes", 0] == 8
    assert lines["target",] == 13
    assert lines["signal", "range"] == 15


def test_a_commented_entry_is_not_counted():
    assert key_lines(TEXT)["stripes", 1] == 11


def test_entries_of_one_line_share_it():
    lines = key_lines('a = 1\nstripes = [{above = "2 %"}, {below = "1 %"}]\nb = 2\n')
    assert (lines["stripes", 0], lines["stripes", 1], lines["b",]) == (2, 2, 3)


def test_tables_of_an_array_are_counted():
    lines = key_lines('[[stripes]]\nabove = "2 %"\n[[stripes]]\nbelow = "1 %"\n')
    assert lines["stripes", 0, "above"] == 2
    assert lines["stripes", 1, "below"] == 4


def test_what_is_not_found_is_looked_up_around_it():
    lines = key_lines(TEXT)
    assert line_of(lines, ("stripes", 0, "within")) == 8
    assert line_of(lines, ("signal", "matrix")) == 14
    assert line_of(lines, ("nowhere",)) is None


def test_dotted_and_quoted_keys():
    lines = key_lines('signal.range = "full"\n"odd" = 1\n')
    assert lines["signal", "range"] == 1
    assert lines["odd",] == 2


@given(st.text(alphabet='ab=[]{}"#.\n ', max_size=80))
def test_any_text_is_survived(text):
    count = len(text.splitlines())
    assert all(1 <= line <= count for line in key_lines(text).values())


@given(st.lists(st.from_regex(r"[a-z]{1,6}", fullmatch=True), unique=True, max_size=8))
def test_every_top_key_of_a_document_has_its_line(keys):
    text = "".join(f"\n{key} = 1" for key in keys)
    assert set(tomllib.loads(text)) == set(keys)
    lines = key_lines(text)
    assert [lines[key,] for key in keys] == [place + 2 for place in range(len(keys))]
