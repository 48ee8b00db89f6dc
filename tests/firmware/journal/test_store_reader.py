"""What is left of a journal whose file is damaged."""

import pytest

from firmware.errors import JournalError
from firmware.journal.chosen import chosen_rows, whole
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from tests.marked import stamp
from tests.running import midgrey

COUNT = 60


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "journal.db"
    store = Store(made)
    for number in range(COUNT):
        head = {"slate": {}, "words": f"no {number}"}
        store.append(JournalRow(RowKind.EVENT, stamp(number), head, {"event": "e" * 1200}))
    store.close()
    return made


def damaged(path):
    """A page in the middle is overwritten, as a worn card does it: some rows lie on it."""
    content = bytearray(path.read_bytes())
    page = int.from_bytes(content[16:18], "big")
    at = len(content) // page // 2 * page
    content[at : at + page] = b"\xa5" * page
    path.write_bytes(content)


def test_a_whole_file_has_no_row_that_is_unreadable(path):
    with StoreReader(path) as file:
        assert len(list(file.heads_left())) == COUNT
        assert file.unreadable == set()


def test_rows_around_the_damage_are_read_and_those_on_it_are_named(path):
    damaged(path)
    with StoreReader(path) as file:
        with pytest.raises(JournalError) as told:
            list(file.heads())
        assert told.value.is_damaged
        rows = [row for _, row in whole(file, chosen_rows(file))]
    lost = file.unreadable
    assert 0 < len(lost) < 10
    assert {row.number for row in rows} == set(range(1, COUNT + 1)) - lost


def test_the_command_shows_what_is_left_and_says_what_is_not(path):
    damaged(path)
    done = midgrey("journal", "--journal", str(path))
    assert done.returncode == 0
    assert "no 2" in done.stdout
    assert f"no {COUNT - 1}" in done.stdout
    assert "cannot be read, the file is damaged; what is shown is the rest" in done.stderr
    checked = midgrey("journal", "verify", "--journal", str(path))
    assert checked.returncode == 2
    assert "damaged" in checked.stderr
