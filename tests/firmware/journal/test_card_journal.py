import sqlite3

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from firmware.errors import JournalError
from firmware.journal.card_journal import HOT, Card, moved_aside
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from tests.marked import stamp


def row(number: int) -> JournalRow:
    return JournalRow(RowKind.MARK, stamp(number), {"n": number}, {"x": "y" * 3000}, {})


def filled(path, count=40):
    store = Store(path)
    for number in range(count):
        store.append(row(number))
    store.close()
    return path


def test_a_file_that_is_damaged_is_kept_under_another_name_and_marks_go_on(tmp_path):
    path = tmp_path / "journal.db"
    path.write_bytes(b"no database at all" * 99)
    content = path.read_bytes()
    card = Card(path)
    assert card.append(row(0)).number == 1
    assert card.append(row(1)).number == 2
    card.close()
    assert card.told == [
        "in a new journal: the old one was damaged and is kept as journal-damaged-1.db"
    ]
    assert (tmp_path / "journal-damaged-1.db").read_bytes() == content
    with StoreReader(path) as file:
        assert [each.head["n"] for each in file.rows()] == [0, 1]


def test_damage_that_shows_while_it_is_open_too(tmp_path):
    path = filled(tmp_path / "journal.db")
    card = Card(path)
    card.append(row(40))
    with path.open("r+b") as file:
        file.write(b"\xff" * 8192)
    assert card.append(row(41)).number == 1
    card.close()
    assert len(card.told) == 1


def test_what_is_beside_a_damaged_file_goes_with_it_and_no_name_is_taken_twice(tmp_path):
    path = tmp_path / "journal.db"
    for number in (1, 2):
        path.write_bytes(b"x")
        path.with_name(path.name + HOT).write_bytes(b"hot")
        kept = moved_aside(path)
        assert kept.name == f"journal-damaged-{number}.db"
        assert kept.with_name(kept.name + HOT).read_bytes() == b"hot"
    assert not path.exists()


def test_a_folder_that_takes_no_other_name_is_said(tmp_path, monkeypatch):
    path = tmp_path / "journal.db"
    path.write_bytes(b"x" * 4096)

    def refused(*_):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(type(path), "rename", refused)
    with pytest.raises(JournalError, match="cannot be moved aside") as told:
        Card(path).append(row(0))
    assert "check the card" in told.value.brief


@pytest.mark.parametrize("statement", ["PRAGMA user_version=99", "PRAGMA application_id=1"])
def test_a_file_that_is_whole_but_not_ours_is_never_moved(tmp_path, statement):
    path = filled(tmp_path / "journal.db", 1)
    with sqlite3.connect(path) as file:
        file.execute(statement)
    file.close()
    with pytest.raises(JournalError):
        Card(path).append(row(0))
    assert [each.name for each in tmp_path.iterdir()] == ["journal.db"]


def test_a_file_that_somebody_named_by_mistake_stays_where_it_is(tmp_path):
    path = tmp_path / "letters.txt"
    path.write_text("Dear Ada, " * 500)
    with pytest.raises(JournalError, match="not a database"):
        Card(path).append(row(0))
    assert path.read_text().startswith("Dear Ada")
    path = filled(tmp_path / "tuesday.db")
    with path.open("r+b") as file:
        file.seek(100)
        file.write(b"\xff" * 20_000)
    card = Card(path)
    assert card.append(row(0)).number == 1
    assert (tmp_path / "tuesday-damaged-1.db").exists()


@settings(max_examples=40, deadline=None)
@example(3719, b"\x80")  # in the text of the schema, which is no longer UTF-8
@example(3780, b"\x80")  # in the name of a column
@example(8197, bytes(4))  # in the number of the last row, which is then none
@given(st.integers(0, 10**6), st.binary(min_size=1, max_size=5000))
def test_whatever_is_damaged_no_mark_is_refused_and_the_rest_can_be_read(
    tmp_path_factory, at, garbage
):
    folder = tmp_path_factory.mktemp("damaged")
    path = filled(folder / "journal.db", 12)
    at %= path.stat().st_size
    # There the header says whose file it is, and of which version: with those it is another's.
    assume(at >= 72 or at + len(garbage) <= 60)
    with path.open("r+b") as file:
        file.seek(at)
        file.write(garbage)
    card = Card(path)
    kept = card.append(row(99))
    card.close()
    with StoreReader(path) as file:
        assert file.row(kept.number).head == {"n": 99}
    for each in folder.glob("journal-damaged-*.db"):
        try:
            with StoreReader(each) as file:
                left = [found.number for found in file.heads_left()]
                assert left == sorted(set(left))
        except JournalError:
            pass  # its first page is gone, or what stands in a row is: one sentence
