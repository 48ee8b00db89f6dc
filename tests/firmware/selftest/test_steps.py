"""The rows of the checklist and those of the code are the same."""

from firmware.selftest.steps import STEPS, table, who, with_table
from tests.places import ROOT

PAGE = ROOT / "hardware" / "checklist.md"


def test_the_page_shows_every_step_as_the_code_has_it():
    """Mend it by `python -m firmware.selftest.steps hardware/checklist.md`."""
    text = PAGE.read_text(encoding="utf-8")
    assert table() in text
    assert with_table(text) == text
    assert text.count("\n| ") == len(STEPS) + 1


def test_steps_are_numbered_without_a_gap_and_say_all_of_themselves():
    assert [each.number for each in STEPS] == list(range(1, len(STEPS) + 1))
    for each in STEPS:
        for words in (each.question, each.run, each.expect, each.needs):
            assert words.strip() == words != ""
            assert "|" not in words


def test_nothing_is_judged_by_nobody():
    assert all(each.is_judged or each.look is not None for each in STEPS)
    assert {who(each) for each in STEPS} == {"you", "midgrey", "midgrey and you"}


def test_a_page_with_another_table_is_mended():
    page = "# Head\n\nwords\n\n| # | x |\n|---|---|\n| 1 | old |\n"
    assert with_table(page) == f"# Head\n\nwords\n\n{table()}\n"


def test_a_second_table_on_the_page_is_somebody_elses():
    other = "| # | part | price |\n|---|---|---|\n| 1 | a bridge | 20 |"
    page = f"| # | question |\n|---|---|\n| 1 | old |\n\nwords\n\n{other}\n"
    assert with_table(page) == f"{table()}\n\nwords\n\n{other}\n"
