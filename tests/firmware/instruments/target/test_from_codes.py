"""The past of the giant reading, made again of the codes that were kept of it."""

from dataclasses import replace

import pytest

from firmware.clock import HandClock
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.grounds import GroundsFound
from firmware.instruments.target import from_codes, happened
from firmware.instruments.target.answer import TargetAnswer
from firmware.instruments.target.from_codes import TargetMadeOf, WasOut
from firmware.instruments.target.happened import MOST_OUT
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.verify import counted, wrong_numbers
from firmware.opening.overrides import Overrides
from overlays.measure.expose.side import Side
from overlays.wording.reasons import Bound
from tests.marked import SMALL, followed

IN, OVER, FAR, UNDER = SMALL, f"{SMALL},exposure=1", f"{SMALL},exposure=1.5", f"{SMALL},exposure=-1"
DAY = (IN, OVER, FAR, IN, UNDER, IN)


@pytest.fixture(scope="module")
def seen():
    return followed("target", DAY)


@pytest.fixture(scope="module")
def row(seen):
    return mark_of(seen)


def is_whole(row):
    """Whether every number is found again, and none is held by the seal alone."""
    return (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


def test_every_number_of_its_past_is_made_of_codes(seen, row):
    answer, past = row.body["answer"], seen.answer.past
    assert (answer["times_out"], answer["latched"]) == (past.count, "under") == (2, "under")
    assert answer["times_out_at_least"] is False
    assert answer["farthest"] == round(past.farthest_stops, 6)
    assert is_whole(row)
    assert len(row.body["others"]) == 3  # over, under, and the farthest between them


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("times_out", 3),
        ("times_out", 1),
        ("times_out", 0),
        ("times_out_at_least", True),
        ("latched", "over"),
        ("farthest", 1.6),
        ("off", 0.2),
        ("off_pm", 0.2),
        ("within", 0.5),
        ("side", "over"),
    ],
)
def test_a_number_that_is_altered_is_found(row, name, value):
    answer = {**row.body["answer"], name: value}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "answer": answer}))
    assert fault.startswith(f"target.{name} is {value} in the journal")


@pytest.mark.parametrize("key", ["side", "before", "at"])
def test_what_was_decided_is_held_to_the_codes(row, key):
    outs = [dict(each) for each in row.body["made_of"]["outs"]]
    outs[0][key] = {"side": "under", "before": "over", "at": 1}[key]
    body = {**row.body, "made_of": {**row.body["made_of"], "outs": outs}}
    faults = list(wrong_numbers(replace(row, body=body)))
    assert "target.times_out is 2 in the journal, and 1 by its codes" in faults


def test_what_lies_within_the_tolerance_was_not_out_whatever_a_row_says():
    """A row may say of codes on the target that they were out "in" it."""
    with Opener(HandClock()).scene(Wanted(IN, None, Overrides(), 0, ())) as opened:
        scene = opened.kept()
    never = TargetMadeOf(Side.IN, (WasOut(Side.OVER, Side.IN, 0),))
    assert from_codes.answer(GroundsFound(never, scene, (scene,))).past.count == 0


@pytest.mark.parametrize("others", [3, "x", [{}], [{"codes": 1}] * 65])
def test_codes_that_make_no_sense_are_a_sentence_and_no_traceback(row, others):
    (fault,) = wrong_numbers(replace(row, body={**row.body, "others": others}))
    assert fault.startswith("cannot be recomputed: ")


@pytest.mark.parametrize("others", [[], None])
def test_codes_that_were_taken_out_are_missed(row, others):
    assert list(wrong_numbers(replace(row, body={**row.body, "others": others}))) != []


def test_what_was_cleared_is_gone_with_its_codes():
    row = mark_of(followed("target", (IN, OVER, IN, IN), presses=(3,)))
    assert (row.body["answer"]["times_out"], row.body["others"]) == (0, [])
    assert is_whole(row)


def test_a_reading_of_a_frame_before_is_no_number(seen):
    assert isinstance(seen.answer, TargetAnswer)
    past = seen.answer.happened
    outs = (replace(past.outs[0], kept=None), *past.outs[1:])
    answer = replace(seen.answer, happened=replace(past, outs=outs, farthest=None))
    row = mark_of(replace(seen, answer=answer))
    told = row.body["answer"]
    assert (told["times_out"], told["times_out_at_least"], told["farthest"]) == (1, True, None)
    assert is_whole(row)


def test_of_more_times_out_than_are_kept_it_says_at_least_so_many(monkeypatch):
    monkeypatch.setattr(happened, "MOST_OUT", 1)
    row = mark_of(followed("target", DAY))
    told = row.body["answer"]
    assert (told["times_out"], told["times_out_at_least"]) == (1, True)
    assert "was out at least once, last under" in row.head["words"]
    assert is_whole(row)


def test_how_far_it_was_while_it_was_clipped_is_a_bound_in_a_mark_too():
    # 1.5 stops over after that can be read, and does not tell how far the clipped one was.
    seen = followed("target", (IN, f"{SMALL},exposure=9", FAR, IN))
    assert isinstance(seen.answer, TargetAnswer)
    assert seen.answer.past.farthest_bound is Bound.AT_LEAST
    row = mark_of(seen)
    assert row.head["words"].endswith("last over, at least +2.5 st at its farthest")
    assert is_whole(row)


def test_half_a_megabyte_is_the_most():
    seen = followed("target", (IN, OVER))
    assert isinstance(seen.answer, TargetAnswer)
    (kept,) = seen.answer.happened.places
    assert len(kept.codes.packed) * MOST_OUT < 1 << 19
