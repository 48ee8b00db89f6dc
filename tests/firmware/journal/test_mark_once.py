import json

import pytest

from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import counted, verify
from tests.marked import SMALL
from tests.running import midgrey


@pytest.fixture
def data(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    return tmp_path / "midgrey"


@pytest.mark.parametrize("command", ["read", "pins", "balance", "expose"])
def test_a_command_marks_what_it_read_and_answered(data, command):
    done = midgrey(command, SMALL, "--at", "0.5,0.5", "--json", "--mark")
    assert done.returncode == 0
    assert done.stderr == f"midgrey: mark 1 saved in {data}/journal.db\n"
    told = json.loads(done.stdout)
    with StoreReader(data / "journal.db") as file:
        assert verify(file).faults == ()
        (row,) = file.rows()
    assert row.body["answer"] == told
    assert row.body["answer_from_codes"]
    assert counted(row)[1] == 0
    assert row.body["read"]["spots"][0]["x"] == 320
    assert row.head["view"] is None


def test_what_a_command_was_told_is_kept_with_it(data):
    """Where the camera stands, what it is dialled to: the answer is found again with it."""
    asked = [
        ("expose", "--at", "0.5,0.5", "--target", "1 st"),
        ("balance", "--at", "0.5,0.5", "--dial", "3200"),
        ("chart",),
        ("chips", "--at", "0.5,0.5", "--at", "0.35,0.42", "--at", "0.61,0.43"),
    ]
    for command, *options in asked:
        done = midgrey(command, SMALL, *options, "--json", "--mark")
        assert done.returncode == 0, done.stderr
    with StoreReader(data / "journal.db") as file:
        found = verify(file)
        rows = list(file.rows())
    assert (found.faults, found.sealed) == ((), 0)
    assert [row.body["answer_from_codes"] for row in rows] == [True] * 4


def test_without_being_asked_nothing_is_marked(data):
    assert midgrey("read", SMALL, "--json").returncode == 0
    assert not data.exists()


def test_a_journal_that_cannot_be_written_costs_nobody_the_reading(data):
    data.parent.joinpath("midgrey").write_text("")
    done = midgrey("read", SMALL, "--json", "--mark")
    assert done.returncode == 2
    assert json.loads(done.stdout)["spots"]
    assert "journal cannot be" in done.stderr
