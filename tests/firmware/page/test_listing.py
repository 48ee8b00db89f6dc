"""The rows of a journal as JSON."""

import json

import pytest

from firmware.errors import JournalError
from firmware.journal.row import ClockTrust, JournalRow, RowKind
from firmware.journal.store import Store
from firmware.page import listing
from firmware.page.listing import main, rows_of
from tests.marked import stamp


@pytest.fixture
def path(tmp_path):
    return tmp_path / "journal.db"


def keep(path, *rows):
    store = Store(path)
    for row in rows:
        store.append(row)
    store.close()


def mark(at_s, **head):
    return JournalRow(RowKind.MARK, stamp(at_s), {"slate": {}, "view": "expose", **head}, {})


def test_the_newest_comes_first_with_what_a_person_looks_for(path):
    keep(
        path,
        mark(0, stops=-0.5, stops_pm=0.02, slate={"scene": "12", "notes": "a note"}),
        JournalRow(RowKind.CLOCK, stamp(1), {"words": "the clock is set"}, {}),
        JournalRow(RowKind.EVENT, stamp(2), {"slate": {}, "words": "the light drifted"}, {}),
        mark(3, stops=2.4, at_least=True),
    )
    rows = rows_of(path)
    assert [row["kind"] for row in rows] == ["mark", "event", "mark"]
    assert rows[0]["words"] == "at least +2.4 st"
    assert rows[1]["words"] == "the light drifted"
    assert rows[2] | {"time": ""} == {
        "number": 1,
        "kind": "mark",
        "day": "2026-11-27",
        "time": "",
        "slate": "scene 12",
        "notes": "a note",
        "view": "expose",
        "timecode": "",
        "words": "−0.50 ±0.02 st",
        "simulated": False,
    }


def test_a_day_that_nobody_knows_is_none(path):
    unset = stamp(0, ClockTrust.UNSET)
    keep(path, JournalRow(RowKind.MARK, unset, {"slate": {}}, {}))
    assert rows_of(path)[0]["day"] is None


def test_no_more_than_anybody_scrolls_through(path, monkeypatch):
    monkeypatch.setattr(listing, "MOST_ROWS", 3)
    keep(path, *(mark(number) for number in range(5)))
    assert [row["number"] for row in rows_of(path)] == [5, 4, 3]


def test_run_as_a_process_it_prints_them_or_one_sentence(path, capsys):
    assert main([str(path)]) == 2
    assert "there is no journal" in capsys.readouterr().err
    keep(path, mark(0))
    assert main([str(path)]) == 0
    assert len(json.loads(capsys.readouterr().out)) == 1


def test_what_is_no_journal_is_said(path):
    path.write_bytes(b"no journal" * 100)
    with pytest.raises(JournalError):
        rows_of(path)
