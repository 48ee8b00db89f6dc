from firmware.instruments.registry import REGISTRY
from firmware.journal.found_again import said_then
from firmware.journal.pairs_before import before_of, missing, of_mark
from tests.marked import row_of_before


def test_of_a_mark_of_before_what_was_found_again_stands_beside_what_is_stored():
    row = row_of_before("watch")
    read, answer = of_mark(row, REGISTRY)
    assert read[0] == said_then(*read[:2])
    assert answer[0] == answer[1]
    assert "frames" not in answer[1]  # held by the seal
    assert list(missing(row, [read, answer], REGISTRY)) == []
    assert list(missing(row, [read, ({}, {}, "")], REGISTRY)) != []


def test_a_match_rests_on_an_earlier_scene():
    row = row_of_before("match")
    length = row.body["codes"]["packed"]
    assert before_of(row.body, row.blobs["codes"][length:]) is not None
    assert before_of({}, b"") is None
