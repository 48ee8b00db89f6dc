"""The past of the giant reading in a mark of before 0.11, found again by its codes."""

from dataclasses import replace

import pytest

from firmware.journal.found_again import by_seal as by_seal_of
from firmware.journal.verify import counted, examined, wrong_numbers
from tests.marked import row_of_before


@pytest.fixture
def row():
    return row_of_before("target")


def test_every_number_of_its_past_is_found_again(row):
    answer = row.body["answer"]
    assert (answer["times_out"], answer["latched"]) == (2, "under")
    assert answer["farthest"] == pytest.approx(1.5, abs=0.1)
    assert list(wrong_numbers(row)) == []
    assert examined(row).withdrawn == ("frame.footroom",)  # by rules of later
    assert counted(row)[1] == 1
    assert set(by_seal_of(row)) <= {"words"}
    assert len(row.body["others"]) == 3  # over, under, and the farthest between them


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("times_out", 3),
        ("times_out", 1),
        ("times_out", 0),
        ("latched", "over"),
        ("farthest", 1.6),
        ("off", 0.2),
        ("within", 0.5),
        ("side", "over"),
    ],
)
def test_a_number_that_is_altered_is_found(row, name, value):
    answer = {**row.body["answer"], name: value}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith(f"target.{name} is {value} in the journal")


def test_codes_that_are_altered_are_found(row):
    """The ± by which the first was judged is made so wide that its codes say it never was out."""
    outs = [dict(each) for each in row.body["decided"]["outs"]]
    outs[0]["pm_stops"] = 0.9
    body = {**row.body, "decided": {**row.body["decided"], "outs": outs}}
    (fault,) = wrong_numbers(replace(row, body=body))
    assert fault == "target.times_out is 2 in the journal, and 1 by its codes"


@pytest.mark.parametrize("others", [3, "x", [{}], [{"codes": 1}] * 65])
def test_codes_that_make_no_sense_are_a_sentence_and_no_traceback(row, others):
    (fault,) = wrong_numbers(replace(row, body={**row.body, "others": others}))
    assert fault.startswith("cannot be recomputed: ")


@pytest.mark.parametrize("others", [[], None])
def test_codes_that_were_taken_out_are_missed(row, others):
    faults = list(wrong_numbers(replace(row, body={**row.body, "others": others})))
    assert faults == [
        f"{name} cannot be found again: what it was made of is not there"
        for name in ("times_out", "farthest")
    ]


def test_a_reading_of_a_frame_before_is_held_by_the_seal_and_named(row):
    outs = [{**each, "at": None} for each in row.body["decided"]["outs"]]
    body = {**row.body, "decided": {**row.body["decided"], "outs": outs, "farthest": None}}
    row = replace(row, body=body)
    assert by_seal_of(row)[:2] == ("times_out", "farthest")
    assert list(wrong_numbers(row)) == []
    assert counted(row)[1] == 2 + 1


def test_more_times_out_than_are_kept_are_held_by_the_seal(row, monkeypatch):
    monkeypatch.setattr("firmware.instruments.target.recomputed.MOST_OUT", 1)
    decided = {**row.body["decided"], "outs": row.body["decided"]["outs"][-1:]}
    row = replace(row, body={**row.body, "decided": decided})
    assert row.body["answer"]["times_out"] == 2
    assert by_seal_of(row)[0] == "times_out"
    assert list(wrong_numbers(row)) == []
    assert counted(row)[1] == 1 + 1
    fewer = {**row.body["answer"], "times_out": 0}
    assert list(wrong_numbers(replace(row, body={**row.body, "answer": fewer}))) != []
