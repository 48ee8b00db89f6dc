import pytest

from firmware.errors import ArgumentError
from firmware.journal.chosen import checked_day, chosen_rows, whole
from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from tests.marked import stamp


@pytest.fixture
def path(tmp_path):
    store = Store(tmp_path / "journal.db")
    stamps = [stamp(0), stamp(86_400), Stamp("other", 1, 5.0, ClockTrust.UNSET)]
    for number, each in enumerate(stamps):
        head = {"slate": {"scene": str(number)}}
        store.append(JournalRow(RowKind.MARK, each, head, {"x": number}))
    store.close()
    return store.path


@pytest.mark.parametrize(
    ("day", "scenes"),
    [(None, "012"), ("2026-11-27", "0"), ("2026-11-28", "1"), ("unset", "2"), ("2020-01-01", "")],
)
def test_rows_of_a_day_are_chosen_and_those_without_one_by_that(path, day, scenes):
    with StoreReader(path) as file:
        found = chosen_rows(file, checked_day(day))
        assert "".join(each.slate.scene for each in found) == scenes
        assert [row.body["x"] for _, row in whole(file, found)] == [int(each) for each in scenes]


@pytest.mark.parametrize("day", ["today", "2026-13-01", "27.11.2026", "2026-11-27x"])
def test_what_is_no_day_is_refused(day):
    with pytest.raises(ArgumentError, match="no day"):
        checked_day(day)
