"""Text to TOML: keys given twice, with where and what to do; other faults in one sentence."""

from pathlib import Path

import pytest

from firmware.errors import ProfileError
from firmware.profiles.toml_text import Parsed, parse_toml

PATH = Path("own.toml")


def test_right_text_is_what_it_says():
    text = 'curve = "V-Log"\n'
    assert parse_toml(text, PATH) == Parsed({"curve": "V-Log"}, text, ())


def test_a_key_given_twice_is_told_with_both_lines_and_a_remedy_that_fits():
    """Issue: "write one key = value a line, texts in quotes", which it is."""
    text = 'curve = "V-Log"\n[camera]\nrate = "25 fps"\nmains = "50 Hz"\nrate = "24 fps"\n'
    parsed = parse_toml(text, PATH)
    assert parsed.raw["camera"]["rate"] == "25 fps"
    words = "camera.rate is given twice, first in line 3; keep one of the two"
    assert parsed.twice == ((5, words),)


def test_every_key_given_twice_is_told():
    parsed = parse_toml("a = 1\na = 2\nb = 1\nb = 2\na = 3\n", PATH)
    assert [line for line, _ in parsed.twice] == [2, 4, 5]


def test_a_table_given_twice_is_told():
    with pytest.raises(ProfileError, match=r"own.toml:3: camera is given twice, first in line 1"):
        parse_toml('[camera]\nrate = "25 fps"\n[camera]\nmains = "50 Hz"\n', PATH)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('curve = "V-Log\n', "line 1, column 15: not TOML (the line ends inside a text"),
        ("curve = \n", "line 1, column 9: not TOML"),
        ("a = 1\na = 2\nb = \n", "own.toml:2: a is given twice"),
    ],
)
def test_what_is_no_toml_is_one_sentence(text, said):
    with pytest.raises(ProfileError) as fault:
        parse_toml(text, PATH)
    assert said in str(fault.value)
    assert "Traceback" not in str(fault.value)
