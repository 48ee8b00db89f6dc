"""All of a mark that was measured, whatever was in view: numbers, words, files."""

from dataclasses import replace

import pytest

from firmware.instruments.registry import REGISTRY
from firmware.journal.composing import mark_of
from firmware.journal.found_again import by_seal
from firmware.journal.verify import counted, wrong_numbers
from overlays.signal.published import published_curves
from tests.marked import SMALL, followed, heard_in_view, in_view, mark, unit_of

VIEWS = [view.name for view in REGISTRY.views()]
LOG = f"{SMALL},signal=yuv422-10,curve=V-Log"


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("feed", [SMALL, LOG, f"{SMALL},signal=rgb", f"{SMALL},signal=nv12"])
def test_of_every_view_nothing_is_held_by_the_seal_alone(view, feed):
    row = mark(feed, view)
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


@pytest.mark.parametrize("feed", [SMALL, LOG, f"{SMALL},signal=rgb", f"{SMALL},signal=nv12"])
@pytest.mark.parametrize("feed_a", [f"{SMALL},exposure=0.5", f"{LOG},kelvin=4300"])
def test_of_a_match_with_another_unit_nothing_is_held_by_the_seal_alone(feed, feed_a):
    row = mark_of(heard_in_view(feed, unit_of(feed_a)))
    assert row.body["answer"]["exposure_stops"] is not None
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


@pytest.mark.parametrize("curve", published_curves(), ids=lambda curve: curve.name)
def test_of_what_happened_on_every_curve(curve):
    feed = f"{SMALL},curve={curve.name}"
    row = mark_of(followed("target", (feed, f"{feed},exposure=1", feed)))
    assert (list(wrong_numbers(row)), counted(row)[1], by_seal(row)) == ([], 0, ())


@pytest.mark.parametrize("view", ["expose", "advice", "balance", "pins", "chart"])
def test_words_with_another_number_are_found(view):
    row = mark(view=view)
    words = row.head["words"]
    digit = next(each for each in words if each.isdigit())
    forged = words.replace(digit, str((int(digit) + 1) % 10), 1)
    (fault,) = wrong_numbers(replace(row, head={**row.head, "words": forged}))
    assert fault.startswith("words is ")


def test_a_file_with_another_number_is_found():
    row = mark_of(in_view(f"{SMALL},exposure=-0.5", "match", camera_a=(SMALL, None)))
    (one, *more) = row.body["files"]
    assert "<Slope>" in one["text"]
    files = [{**one, "text": one["text"].replace("<Slope>", "<Slope>1")}, *more]
    faults = list(wrong_numbers(replace(row, body={**row.body, "files": files})))
    assert any(each.startswith("files 1.text is ") for each in faults)


@pytest.mark.parametrize("schema", [1, 7, "2", True, [], {}])
def test_a_row_of_a_later_version_says_so(schema):
    row = mark()
    (fault,) = wrong_numbers(replace(row, body={**row.body, "schema": schema}))
    assert fault == "cannot be recomputed: it was made by a later version; verify it with that one"


@pytest.mark.parametrize("name", ["at_least", "at_most", "pins", "stops"])
def test_the_head_says_what_the_readings_say(name):
    row = mark()
    faults = list(wrong_numbers(replace(row, head={**row.head, name: 7})))
    assert faults == ["its head says another number than its readings"]


def test_counts_that_were_taken_out_are_missed():
    row = mark()
    inputs = {key: each for key, each in row.body["inputs"].items() if key != "counts"}
    (fault,) = wrong_numbers(replace(row, body={**row.body, "inputs": inputs}))
    assert fault == "cannot be recomputed: the counts of the whole picture are not there"
