"""A feed check of before 0.11 found again by its readings."""

from dataclasses import replace

import pytest

from firmware.instruments.feedcheck.recomputed import by_seal
from firmware.journal.found_again import by_seal as by_seal_of
from firmware.journal.verify import counted, wrong_numbers
from tests.marked import row_of_before


@pytest.fixture
def row():
    return row_of_before("feedcheck")


def test_every_number_is_found_again_by_the_readings(row):
    assert len(row.body["answer"]["hypotheses"]) > 3
    assert list(wrong_numbers(row)) == []
    assert counted(row)[1] == 0
    assert set(by_seal_of(row)) <= {"words"}


@pytest.mark.parametrize(
    ("of", "name"),
    [("readings", "code"), ("readings", "code_pm"), ("hypotheses", "probability")],
)
def test_a_number_that_is_altered_is_found(row, of, name):
    all_ = [dict(each) for each in row.body["answer"][of]]
    all_[1][name] += 1e-6
    answer = {**row.body["answer"], of: all_}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith(f"feedcheck.{of} 2.{name} is ")


def test_readings_that_are_altered_are_found(row):
    readings = {name: dict(each) for name, each in row.body["decided"]["readings"].items()}
    readings["card"]["code"] += 1.0
    body = {**row.body, "decided": {"readings": readings}}
    assert list(wrong_numbers(replace(row, body=body))) != []


def test_what_patches_decided_is_held_by_the_seal_and_named(row):
    stored = {**row.body["answer"], "patches": ["red"], "costs": [{"stops": 1.0}]}
    assert by_seal(stored, None) == ("costs",)
    row = replace(row, body={**row.body, "answer": stored})
    assert list(wrong_numbers(row)) == []
    assert by_seal_of(row)[0] == "costs"
