import json

import pytest

from firmware.journal.store_reader import StoreReader
from firmware.journal.verify import verify
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
    assert row.body["read"]["spots"][0]["x"] == 320
    assert row.head["view"] is None


def test_without_being_asked_nothing_is_marked(data):
    assert midgrey("read", SMALL, "--json").returncode == 0
    assert not data.exists()


def test_a_journal_that_cannot_be_written_costs_nobody_the_reading(data):
    data.parent.joinpath("midgrey").write_text("")
    done = midgrey("read", SMALL, "--json", "--mark")
    assert done.returncode == 2
    assert json.loads(done.stdout)["spots"]
    assert "journal cannot be" in done.stderr
