import re
from html.parser import HTMLParser

import pytest

from firmware.journal.chosen import chosen_rows, whole
from firmware.journal.day_report import report_html
from firmware.journal.row import JournalRow, RowKind
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from tests.marked import mark, stamp

EVENT = JournalRow(
    RowKind.EVENT,
    stamp(60),
    {
        "words": "pin 1 drifts",
        "change": "drift",
        "slate": {"scene": "12", "shot": "A", "camera": "A"},
    },
    {"event": {"change": "drift", "start": {"timecode": "01:00:00:00"}}},
)
CLOCK = JournalRow(RowKind.CLOCK, stamp(90), {"words": "the clock is set"})


class Outline(HTMLParser):
    """Headings and all that a page would fetch."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.headings: list[str] = []
        self.fetched: list[str] = []
        self._inside = ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self._inside = tag
        for name, value in attrs:
            if name in {"src", "href", "srcset", "data", "action", "xlink:href"}:
                self.fetched.append(value)

    def handle_data(self, data):
        if self._inside in {"h1", "h2", "h3"}:
            self.headings.append(data)
            self._inside = ""


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    store = Store(tmp_path_factory.mktemp("journal") / "journal.db")
    for row in (mark(), EVENT, mark(view="pins"), CLOCK):
        store.append(row)
    store.close()
    with StoreReader(store.path) as file:
        return report_html("journal.db", whole(file, chosen_rows(file)))


def test_it_is_one_page_that_asks_for_nothing_outside(page):
    found = Outline(page)
    own, pictures = found.fetched[:2], found.fetched[2:]
    assert own == ["#m1", "#m3"]  # the list at its beginning
    assert "id=m1>" in page
    assert len(pictures) == 6
    assert all(each.startswith("data:image/") for each in pictures)
    for word in ("<script", "@import", "url(", "<link", "<iframe"):
        assert word not in page


def test_setups_marks_and_events_stand_under_their_headings(page):
    day, setup, watched, first, second = Outline(page).headings
    assert day == "2026-11-27"
    assert setup == "Scene 12, shot A, camera A"
    assert watched == "What the watch saw"
    assert first.startswith("#1 · ")
    assert second.startswith("#3 · ")
    assert re.search(r"00:01:00<td>01:00:00:00<td>drift<td>pin 1 drifts", page)
    assert 'class="time"' in page


def test_it_says_what_was_checked_and_what_is_simulated(page):
    assert "was recomputed from the codes that the camera sent" in page
    assert "simulated feed" in page


def test_a_row_that_was_changed_costs_no_page(tmp_path):
    store = Store(tmp_path / "journal.db")
    for body in ({"event": 5}, {"event": {"start": "x"}}):
        store.append(JournalRow(RowKind.EVENT, stamp(), {"words": "x"}, body))
    store.append(JournalRow(RowKind.MARK, stamp(), {}, {"read": [1], "files": 3}))
    store.close()
    with StoreReader(store.path) as file:
        text = report_html("x", whole(file, chosen_rows(file)))
    assert text.count("is not as it was written") == 3


def test_a_journal_without_rows_is_a_page_too():
    text = report_html("x", [])
    assert "Nothing was marked." in text
    assert "was recomputed" in text or "No day" in text
