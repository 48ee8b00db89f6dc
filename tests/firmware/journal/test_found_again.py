import json
from dataclasses import replace

import pytest

from firmware.journal.composing import words_of
from firmware.journal.found_again import (
    Since,
    alike,
    by_seal,
    left_out,
    named,
    said_then,
    withdrawn,
    without,
)
from firmware.journal.row import RowKind
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import counted, examined, verify, wrong_numbers
from tests.marked import SMALL, mark, row_of_before, rows_of_before

LAMP = "128,48,16"
NEITHER = Since(may_be_none=False, may_differ=lambda _: False)
NONE = Since(may_be_none=True, may_differ=lambda _: False)
ANOTHER = Since(may_be_none=False, may_differ=lambda _: True)
FOUND = {"a": 1, "b": [{"c": 2.0, "d": "x", "e": True}, {"c": None, "f": 3}]}


def test_numbers_are_called_by_where_they_stand():
    assert named(FOUND) == ("a", "b.c", "b.f")
    assert named(None) == named({}) == named("3") == ()


def test_what_stands_where_something_was_found_again():
    assert alike(FOUND, {"b": [{"d": ""}, {"f": 4}]}) == {"b": [{"d": "x"}, {"f": 3}]}
    assert alike(FOUND, {"g": 1}) == {"g": None}
    assert alike([1], [1, 2]) == [1]  # and is then not what was found


def test_keys_that_objects_have_got_since_are_no_part_of_what_was_said_then():
    assert said_then({"a": 1, "b": [{"c": 2}]}, {"a": 3, "b": [{"c": 4, "d": 5}], "e": 6}) == {
        "a": 3,
        "b": [{"c": 4}],
    }
    assert said_then([1], [1, 2]) == [1, 2]
    assert said_then(None, {"a": 1}) == {"a": 1}
    assert said_then({"a": 1}, {}) == {}  # what is gone is a difference yet


@pytest.mark.parametrize(("schema", "is_found"), [(2, False), (4, False), (5, True), (6, True)])
def test_a_key_that_an_answer_lacks_is_missed_where_it_was_there_to_be_written(schema, is_found):
    row = mark(SMALL, "pins")
    answer = {key: each for key, each in row.body["answer"].items() if key != "pins"}
    changed = replace(row, body={**row.body, "answer": answer, "schema": schema})
    assert bool(list(wrong_numbers(changed))) is is_found


def test_what_is_left_out_is_missed_unless_it_is_named():
    assert left_out(FOUND, {"a": 1}, ("b",)) == []
    (said,) = left_out(FOUND, {"a": 1}, ("b.c",))
    assert said.startswith("b.f cannot be found again")


def test_a_mark_holds_nothing_by_its_seal():
    assert by_seal(mark(SMALL, "pins")) == ()


def test_what_the_machine_said_of_itself_is_held_by_the_seal():
    row = mark(SMALL, "pins")
    row = replace(row, body={**row.body, "health": {"temperature": 41.0}})
    assert by_seal(row) == ("health",)
    assert counted(row)[1] == 1


def test_a_mark_of_before_0_11_names_the_words_of_the_screen():
    assert by_seal(rows_of_before()[6]) == ("words",)


def test_a_mark_and_an_event_of_before_0_10_are_held_as_they_were():
    made = row_of_before("target")
    old = replace(made, body={k: v for k, v in made.body.items() if k not in {"decided", "others"}})
    assert list(wrong_numbers(old)) == []
    assert by_seal(old) == ("within", "off", "off_pm", "times_out", "farthest", "words")
    assert counted(old)[1] == 5 + 1  # and footroom, which is not told without a ± any more


def test_a_journal_of_0_10_is_found_again_as_it_was_then():
    """What 0.10.0 itself said of it, but for what later rules say otherwise."""
    found = [counted(row) for row in rows_of_before()]
    then = [(48, 0), (120, 3), (73, 0), (73, 0), (80, 0), (100, 14), (114, 0), (171, 0)]
    since = [1, 0, 0, 0, 0, 1, 6, 1]
    assert found == [(n - k, s + k) for (n, s), k in zip(then, since, strict=True)]
    assert [fault for row in rows_of_before() for fault in wrong_numbers(row)] == []


def test_a_journal_of_0_11_is_found_again_as_it_was_then():
    """What 0.11.0 itself said of it: the fifth is a match with another unit, held by its seal.

    But for what later rules say otherwise.
    """
    rows = rows_of_before("0_11")
    found = [counted(row) for row in rows]
    then = [
        *((114, 0), (48, 0), (136, 0), (181, 0), (100, 81)),
        *((88, 0), (73, 0), (73, 0)),
    ]
    since = [6, 1, 4, 1, 1, 0, 0, 0]
    assert found == [(n - k, s + k) for (n, s), k in zip(then, since, strict=True)]
    assert [fault for row in rows for fault in wrong_numbers(row)] == []
    named_then = [by_seal(row) for row in rows]
    assert [bool(each) for each in named_then] == [place == 4 for place in range(8)]
    assert {"exposure_stops", "cdl.slope", "words"} <= set(named_then[4])


def test_only_in_a_journal_of_0_11_a_word_leaves_a_match_to_the_seal():
    row = mark(SMALL, "match", camera_a=(SMALL, None))
    answer = {**row.body["answer"], "exposure_stops": 3.0}
    forged = replace(row, body={**row.body, "answer": answer, "heard": True})
    assert any("exposure_stops" in each for each in wrong_numbers(forged))
    assert by_seal(forged) == ()


@pytest.fixture
def old_event():
    """One whose means were not known."""
    row = next(row for row in rows_of_before() if row.kind is RowKind.EVENT)
    pins = [{**each, "means": None} for each in row.body["decided"]["pins"]]
    return replace(row, body={**row.body, "decided": {**row.body["decided"], "pins": pins}})


def test_an_event_without_means_says_so(old_event):
    old = replace(old_event, body={"event": old_event.body["event"]})
    assert list(wrong_numbers(old)) == []
    assert "pins.by.stops" in by_seal(old)
    assert counted(old)[0] == 0


def test_an_event_whose_means_are_not_known_names_what_they_made(old_event):
    body = {**old_event.body, "decided": {**old_event.body["decided"], "end_ns": 3 * 10**10}}
    assert by_seal(old_event) == ("pins.by", "pins.off", "words")
    assert any("end.seconds" in each for each in wrong_numbers(replace(old_event, body=body)))


@pytest.mark.parametrize("decided", [3, {}, {"first_ns": "x"}, [], {"pins": [{}]}])
def test_what_an_event_was_decided_from_may_be_anything_and_is_a_sentence(old_event, decided):
    row = replace(old_event, body={**old_event.body, "decided": decided})
    (fault,) = wrong_numbers(row)
    assert fault.startswith("cannot be recomputed: ")


def test_a_half_width_that_is_none_any_more_is_named_and_taken_out():
    stored = {"pm": 1.0, "rgb_pm": [0.1, None, 0.3], "stops": 2.0, "in": [{"off_pm": 0.5}]}
    again = {"pm": 1.0, "rgb_pm": [0.1, None, None], "stops": None, "in": [{"off_pm": None}]}
    assert set(withdrawn(stored, again, NONE)) == {"rgb_pm", "in.off_pm"}
    assert set(withdrawn(stored, again, NEITHER)) == set()
    left = {"pm": 1.0, "rgb_pm": [0.1, None, None], "stops": 2.0, "in": [{"off_pm": None}]}
    one, other = {"pm": 1.0, "off": 1.0}, {"pm": 2.0, "off": 2.0}
    assert list(withdrawn(one, other, NONE)) == []  # an altered one is a difference
    assert list(withdrawn(one, other, ANOTHER)) == ["pm"]
    assert without(one, other, NONE) == one
    assert without(one, other, ANOTHER) == {"pm": None, "off": 1.0}
    assert list(withdrawn(one, other, Since(False, {"off_pm"}.__contains__))) == []
    assert without(stored, again, NONE) == left
    assert list(withdrawn(again, stored, NONE)) == []  # one that came anew is a difference
    assert without(again, stored, NONE) == again


@pytest.fixture(scope="module")
def doubted():
    """A mark as 0.14 made it: with a ± on a lamp that may be clipped, in numbers and in words."""
    row = mark("bench:size=640x360,noise=0,cloud=0", "expose", profile="log-s3", at=(LAMP,))
    assert row.body["read"]["spots"][0]["may_clip"]
    as_then = json.loads(json.dumps(row.body))
    for spot in as_then["read"]["spots"]:
        del spot["may_clip"]
        spot |= {"stops_pm": 0.01, "percent_pm": 0.1, "rgb_stops_pm": [0.01, 0.01, 0.01]}
    as_then["answer"]["spot"] |= {"stops_pm": 0.01, "percent_pm": 0.1}
    as_then["said"]["spot"] = "+6.00 ±0.01 st"
    head = {**row.head, "stops_pm": 0.01, "percent_pm": 0.1, "words": words_of(as_then["said"])}
    return replace(row, head=head, body={**as_then, "schema": 3})


def test_a_mark_of_before_0_15_keeps_its_half_width_by_its_seal(doubted):
    found = examined(doubted)
    assert found.faults == ()
    assert {"spots.stops_pm", "spots.rgb_stops_pm", "advice.spot.stops_pm"} <= set(found.withdrawn)
    assert found.again > 0
    assert found.sealed >= 10
    for since in (4, 5):
        row = replace(doubted, body={**doubted.body, "schema": since})
        assert any("stops_pm" in each for each in examined(row).faults)


def test_any_other_number_of_it_is_missed(doubted):
    spots = [{**each, "stops": 3.0} for each in doubted.body["read"]["spots"]]
    body = {**doubted.body, "read": {**doubted.body["read"], "spots": spots}}
    head = {**doubted.head, "stops": 3.0}
    (fault, *_) = examined(replace(doubted, head=head, body=body)).faults
    assert fault.startswith("spots 1.stops is 3.0 in the journal")


@pytest.mark.parametrize("lossy", [False, True])
def test_a_half_width_of_older_rules_is_left_to_the_seal_behind_a_codec_alone(lossy):
    row = mark(SMALL, "pins")
    signal = {**row.body["inputs"]["signal"], "lossy": lossy}
    body = {**row.body, "inputs": {**row.body["inputs"], "signal": signal}, "schema": 3}
    spots = [{**each, "stops_pm": 0.5} for each in body["read"]["spots"]]
    head = {**row.head, "stops_pm": 0.5}
    found = examined(
        replace(row, head=head, body={**body, "read": {**body["read"], "spots": spots}})
    )
    assert any("stops_pm" in each for each in found.faults) is not lossy
    assert ("spots.stops_pm" in found.withdrawn) is lossy


@pytest.mark.parametrize("schema", [3, 4, 5])
@pytest.mark.parametrize("name", ["off_neutral_pm", "chroma_percent_pm", "cct_pm"])
def test_the_half_width_of_one_direction_is_left_to_the_seal_of_rows_that_have_it(schema, name):
    """Which direction it was, where nobody knew it, was said by the last bit of a sum."""
    row = mark(SMALL, "balance")
    answer = {**row.body["answer"], name: 0.95 * row.body["answer"][name]}
    found = examined(replace(row, body={**row.body, "answer": answer, "schema": schema}))
    is_left = schema != 5 and name != "cct_pm"
    assert any(name in each for each in found.faults) is not is_left
    assert any(name in each for each in found.withdrawn) is is_left


def test_what_is_held_by_seals_is_counted_by_rows(doubted, tmp_path):
    path = tmp_path / "journal.db"
    store = Store(path)
    for _ in range(2):
        store.append(doubted)
    store.close()
    with StoreReader(path) as file:
        found = verify(file)
    assert found.faults == ()
    assert dict(found.names)["spots.stops_pm"] == 2
