import os
import sqlite3

import pytest

from firmware.errors import JournalError
from firmware.journal import store as store_module
from firmware.journal.row import FIRST_SEAL, JournalRow, RowKind
from firmware.journal.store import MIGRATIONS, Store
from firmware.journal.store_reader import StoreReader
from tests.marked import altered, stamp


def row(number: int) -> JournalRow:
    return JournalRow(RowKind.MARK, stamp(number), {"n": number}, {"x": 0.1}, {"still": b"12"})


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "folder" / "journal.db"
    store = Store(made)
    for number in range(3):
        assert store.append(row(number)).number == number + 1
    store.close()
    return made


def test_what_is_kept_is_read_back_whole_and_in_order(path):
    with StoreReader(path) as file:
        rows = list(file.rows())
        assert [each.head for each in rows] == [{"n": 0}, {"n": 1}, {"n": 2}]
        assert rows[1] == row(1).kept(2, rows[0].seal)
        assert rows[0].seal == row(0).kept(1, FIRST_SEAL).seal
        assert file.last() == (3, rows[2].seal)
        assert file.row(2) == rows[1]
        assert file.faults() == []
        heads = list(file.heads())
    assert [(each.head, each.body, each.blobs) for each in heads] == [
        (each.head, {}, {}) for each in rows
    ]


def test_a_journal_goes_on_where_it_was_left(path):
    store = Store(path)
    assert store.append(row(3)).number == 4
    store.close()


def test_a_list_reads_what_stands_before_all_that_is_large(path):
    store = Store(path)
    columns = [row[1] for row in store._file.execute("PRAGMA table_info(rows)")]
    store.close()
    large = columns.index("body")
    assert {"seal", "head", "wall_s"} <= set(columns[:large])
    assert set(columns[large:]) == {"body", "codes", "still", "trace", "chroma"}


def test_the_file_is_set_for_a_power_cut(path):
    store = Store(path)
    # 3 is EXTRA (SQLite documentation, PRAGMA synchronous).
    assert store._file.execute("PRAGMA synchronous").fetchone() == (3,)
    assert store._file.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    assert store._file.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
    store.close()


def test_a_card_that_is_full_costs_nothing_of_what_is_there(path):
    store = Store(path)
    pages = store._file.execute("PRAGMA page_count").fetchone()[0]
    store._file.execute(f"PRAGMA max_page_count={pages}")
    big = JournalRow(RowKind.MARK, stamp(), {}, {}, {"still": os.urandom(100_000)})
    with pytest.raises(JournalError, match=r"full.*delete old files") as told:
        store.append(big)
    assert told.value.brief == "the card is full, delete old files"
    store._file.execute("PRAGMA max_page_count=100000")
    assert store.append(big).number == 4
    store.close()


def test_what_is_half_written_is_taken_back_by_whoever_reads_next(path):
    store = Store(path)
    store._file.execute("BEGIN IMMEDIATE")
    store._file.execute("UPDATE rows SET head = '{}'")
    # As a power cut leaves it: nothing was committed.
    store._file.close()
    with StoreReader(path) as file:
        assert [each.head["n"] for each in file.rows()] == [0, 1, 2]


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"no database at all" * 99, "move it away"), (b"SQLite format 3\0" + b"x" * 999, "move it")],
)
def test_a_file_that_is_no_journal_is_named(tmp_path, content, said):
    path = tmp_path / "journal.db"
    path.write_bytes(content)
    for opened in (Store, StoreReader):
        with pytest.raises(JournalError, match=said):
            opened(path)
    assert path.read_bytes() == content


def test_other_databases_and_newer_journals_are_left_alone(tmp_path, path):
    other = tmp_path / "other.db"
    with sqlite3.connect(other) as file:
        file.execute("CREATE TABLE mine (a)")
    file.close()
    with pytest.raises(JournalError, match="no journal"):
        Store(other)
    with sqlite3.connect(path) as file:
        file.execute("PRAGMA user_version=99")
    file.close()
    for opened in (Store, StoreReader):
        with pytest.raises(JournalError, match="newer midgrey"):
            opened(path)


def test_none_that_is_there_is_said(tmp_path):
    with pytest.raises(JournalError, match="there is no journal"):
        StoreReader(tmp_path / "none.db")
    assert list(tmp_path.iterdir()) == []


def test_a_row_that_is_no_row_is_named(path):
    altered(path, "UPDATE rows SET body = '[1, 2' WHERE number = 2")
    with StoreReader(path) as file, pytest.raises(JournalError, match="row 2 cannot be understood"):
        list(file.rows())


def test_a_folder_that_cannot_be_made_is_said(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match="cannot be opened"):
        Store(tmp_path / "file" / "journal.db")


def test_a_journal_of_an_older_version_is_brought_up_and_a_copy_is_kept(path, monkeypatch):
    with StoreReader(path) as file:
        before = list(file.rows())
    more = (*MIGRATIONS, "CREATE TABLE more (a INTEGER) STRICT;")
    monkeypatch.setattr(store_module, "MIGRATIONS", more)
    store = Store(path)
    assert store.append(row(3)).number == 4
    store.close()
    monkeypatch.undo()
    with pytest.raises(JournalError, match="newer midgrey"):
        Store(path)
    copy = path.with_name("journal.schema-1.db")
    with StoreReader(copy) as file:  # as the version before reads it
        assert list(file.rows()) == before
        assert file.faults() == []
    assert sorted(each.name for each in path.parent.iterdir()) == [
        "journal.db",
        "journal.schema-1.db",
    ]


def test_a_journal_of_this_version_is_not_copied(path):
    Store(path).close()
    assert [each.name for each in path.parent.iterdir()] == ["journal.db"]
