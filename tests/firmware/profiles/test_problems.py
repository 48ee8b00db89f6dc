import pytest
from pydantic import ValidationError

from firmware.profiles.document import Document
from firmware.profiles.problems import Problem, problems_of


def found(raw):
    with pytest.raises(ValidationError) as fault:
        Document.model_validate(raw)
    return {each.path: each.what for each in problems_of(fault.value)}


def test_paths_count_entries_from_one():
    assert Problem(("stripes", 0, "within"), "").path == "stripes[1].within"
    assert Problem(("signal", "range"), "").path == "signal.range"


@pytest.mark.parametrize(
    ("raw", "path", "words"),
    [
        ({"curve": "HLG", "targt": "0 st"}, "targt", "did you mean target?"),
        ({"curve": "HLG", "zzz": 1}, "zzz", "it is one of title, notes"),
        ({"curve": "HLG", "signal": {"rnge": "full"}}, "signal.rnge", "did you mean range?"),
        ({"curve": "HLG", "stripes": [{"abov": "2 %"}]}, "stripes[1].abov", "did you mean above?"),
        ({"curve": {"name": "x", "bas": 2}}, "curve.bas", "did you mean base?"),
        ({}, "curve", 'as in curve = "BT.709"'),
        ({"curve": "S-Log33"}, "curve", "did you mean S-Log3"),
        ({"curve": 709}, "curve", "709 is no curve"),
        ({"curve": {"base": 2.0}}, "curve.name", "is missing"),
        ({"curve": {"name": ""}}, "curve.name", "is empty"),
        ({"curve": {"name": "x", "base": 1}}, "curve.base", "above 1"),
        ({"curve": {"name": "x", "base": "2"}}, "curve.base", "without quotes"),
        ({"curve": {"name": "x", "base": True}}, "curve.base", "not a number"),
        ({"curve": {"name": "x", "lin_side_offset": float("nan")}}, "curve.lin_side_offset", "nan"),
        (
            {"curve": {"name": "x", "lin_side_break": -1.0}},
            "curve",
            "the logarithm has no value",
        ),
        ({"curve": {"name": "x", "linear_slope": 1.0}}, "curve", "give both or neither"),
        ({"curve": "HLG", "title": 3}, "title", "put it in quotes"),
        ({"curve": "HLG", "signal": "full"}, "signal", "is not a table"),
        ({"curve": "HLG", "stripes": "all"}, "stripes", "not a list"),
        ({"curve": "HLG", "stripes": ["all"]}, "stripes[1]", "is not a table"),
        ({"curve": "HLG", "stripes": [{"above": "2 %"}] * 9}, "stripes", "keep to 8"),
        ({"curve": "HLG", "stripes": [{"at": "0 st"}]}, "stripes[1]", "at without within"),
        ({"curve": "HLG", "carriage": "fulll"}, "carriage", "did you mean full?"),
        ({"curve": "HLG", "spot": "4.4"}, "spot", 'as "4.4 %"'),
        ({"curve": "HLG", "clip": 6}, "clip", '"6 st" or "6 %"'),
    ],
)
def test_each_mistake_names_its_key_and_a_remedy(raw, path, words):
    assert words in found(raw)[path]


def test_all_mistakes_come_at_once():
    raw = {"curve": "x", "title": 1, "zzz": 2, "clip": "3", "stripes": [{}, {"at": 1}]}
    assert set(found(raw)) == {"curve", "title", "zzz", "clip", "stripes[1]", "stripes[2].at"}


def test_a_long_value_is_shown_short():
    assert len(found({"curve": "HLG", "title": list(range(500))})["title"]) < 120


def test_tables_nested_without_end_are_shown_short():
    # Dotted keys nest as deep as a line is long, deeper than Python can print.
    nested = 1
    for _ in range(5000):
        nested = {"a": nested}
    assert "nested without end" in found({"curve": "HLG", "title": nested})["title"]
