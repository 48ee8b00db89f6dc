"""The journal for a phone, made by a process of its own."""

import csv
import io
import subprocess
from typing import Any

import pytest

from firmware.errors import PageError
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import Store
from firmware.page.journal_process import listed, made
from tests.marked import stamp


@pytest.fixture
def journal(tmp_path):
    path = tmp_path / "journal.db"
    store = Store(path)
    head = {"slate": {"scene": "12"}, "words": "the light drifted"}
    store.append(JournalRow(RowKind.EVENT, stamp(0), head, {"event": {}}))
    store.close()
    return path


def test_the_list_and_the_table_are_those_of_the_journal(journal):
    assert listed(journal)[0]["words"] == "the light drifted"
    (row,) = csv.DictReader(io.StringIO(made(journal, "csv", None).decode()))
    assert (row["scene"], row["words"]) == ("12", "the light drifted")


def test_what_cannot_be_read_is_one_sentence(journal):
    journal.write_bytes(b"no journal" * 100)
    for ask in (listed, lambda path: made(path, "csv", "2026-11-27")):
        with pytest.raises(PageError, match=r"^the journal: ") as fault:
            ask(journal)
        assert "\n" not in str(fault.value)
        assert "Traceback" not in str(fault.value)


def test_a_report_that_takes_too_long_is_given_up(journal, monkeypatch):
    def late(*_, timeout, **__):
        raise subprocess.TimeoutExpired("midgrey", timeout)

    monkeypatch.setattr(subprocess, "run", late)
    with pytest.raises(PageError, match="takes too long here"):
        made(journal, "html", None)


def test_where_no_process_can_be_started_that_is_said(journal, monkeypatch):
    def none(*_, **__):
        raise OSError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(subprocess, "run", none)
    with pytest.raises(PageError, match="no process"):
        listed(journal)


def test_it_is_put_behind_everything_else_and_reports_to_no_service(journal, monkeypatch):
    asked: dict[str, Any] = {}

    def run(arguments, **options):
        asked.update(options, arguments=arguments)
        return subprocess.CompletedProcess(arguments, 0, b"[]", b"")

    monkeypatch.setenv("NOTIFY_SOCKET", "/run/systemd/notify")
    monkeypatch.setattr(subprocess, "run", run)
    assert listed(journal) == []
    assert asked["arguments"][:3] == ["nice", "-n", "10"]
    assert "NOTIFY_SOCKET" not in asked["env"]
    assert asked["timeout"] > 0
