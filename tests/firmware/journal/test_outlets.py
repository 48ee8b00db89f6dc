import csv
import io
import json
from dataclasses import replace

import pytest

from firmware.journal.chosen import chosen_rows, whole
from firmware.journal.outlets import (
    COLUMNS,
    _sealed,
    csv_text,
    files_of,
    json_object,
    lines,
    reading_words,
)
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from tests.marked import mark, rows_of_before, stamp

GAP = JournalRow(
    RowKind.EVENT, stamp(9), {"words": "a gap", "slate": {"notes": "=1+1"}}, {"event": {"a": 1}}
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("journal") / "journal.db"
    store = Store(path)
    for row in (mark(), mark(view="pins"), GAP):
        store.append(row)
    store.close()
    with StoreReader(path) as file:
        rows = chosen_rows(file)
        return rows, list(whole(file, rows))


def test_the_csv_reads_back_to_the_last_digit(made):
    _, rows = made
    found = list(csv.DictReader(io.StringIO(csv_text(rows), newline="")))
    assert list(found[0]) == list(COLUMNS)
    spots = rows[0][1].body["read"]["spots"]
    assert len(found) == 2 * len(spots) + 1
    for number, (line, spot) in enumerate(zip(found, spots, strict=False)):
        assert (line["number"], line["kind"], line["spot"]) == ("1", "mark", str(number))
        assert float(line["stops"]) == spot["stops"]
        assert float(line["b_stops"]) == spot["rgb_stops"][2]
        assert (line["at_least"], line["may_clip"]) == ("no", spot["may_clip"]) == ("no", "")
        assert (line["scene"], line["simulated"]) == ("12", "yes")
        assert line["time_utc"] == "2026-11-27T00:00:00.000+00:00"
    # No spreadsheet takes a note for a formula.
    assert (found[-1]["words"], found[-1]["notes"], found[-1]["stops"]) == ("a gap", "'=1+1", "")


def test_the_object_holds_every_row_and_no_number_that_is_none(made):
    _, rows = made
    found = json.loads(json.dumps(json_object("x", rows), allow_nan=False))
    assert [each["kind"] for each in found["rows"]] == ["mark", "mark", "event"]
    assert found["rows"][0]["read"] == rows[0][1].body["read"]
    assert found["rows"][0]["profile_in_use"]["text"]
    assert found["rows"][2]["event"] == {"a": 1}
    assert bytes.fromhex(found["rows"][1]["seal"]) == rows[1][1].seal


def test_the_list_has_a_line_a_row(made):
    chosen, _ = made
    day, first, second, third = lines(chosen)
    assert day == "2026-11-27, times in UTC"
    assert [int(line.split()[0]) for line in (first, second, third)] == [1, 2, 3]
    assert "00:00:00  ·  scene 12, shot A, take 1, camera A  ·  expose  ·  " in first
    assert third.endswith("a gap")
    assert lines([]) == ["No rows."]


def test_a_bound_is_said_as_one():
    assert reading_words({"stops": 2.345, "at_least": True}).startswith("at least")
    assert reading_words({"stops": None}) == ""
    assert "±" in reading_words({"stops": 0.1, "stops_pm": 0.02})


def test_files_to_hand_on_are_named_by_number_and_slate_and_lie_in_their_folder():
    body = {"files": [{"ending": ".cc", "text": "<x/>"}, {"ending": "/../.cc", "text": ""}]}
    row = JournalRow(RowKind.MARK, stamp(), {"slate": {"scene": "../7"}}, body, number=3)
    assert list(files_of(row)) == [("0003-scene-7.cc", "<x/>"), ("0003-scene-7...cc", "")]


def test_an_old_event_that_is_not_as_it_was_written_is_handed_over_without_a_traceback():
    row = next(row for row in rows_of_before() if row.kind is RowKind.EVENT)
    event = {key: each for key, each in row.body["event"].items() if key != "change"}
    assert _sealed(replace(row, body={**row.body, "event": event})) == ()
    assert _sealed(row) == ("words",)
