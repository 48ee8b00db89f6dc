"""The wall of units in a real browser: one unit's page shows all it hears, and marks on all."""

import re

import pytest

from firmware.errors import JournalError
from firmware.journal.store_reader import StoreReader
from tests.brokers import PASSWORDS, Broker
from tests.firmware.page.test_browser import (
    CHROMIUM,
    EXPECTED_MS,
    Unit,
    browser,
    look,
    nothing_grave,
    paired,
    sync_api,
)
from tests.kit_units import LoopOfKit

__all__ = ["browser"]
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed (apt)")


@pytest.fixture
def kit(tmp_path):
    broker = Broker(tmp_path / "broker", PASSWORDS, tls=False)
    broker.start()
    preset = tmp_path / "kit.toml"
    preset.write_text(
        f'[kit]\nunit = "cam-a"\nbroker = "127.0.0.1:{broker.port}"\ntls = false\n'
        f'password = "{PASSWORDS["cam-a"]}"\n'
    )
    other = LoopOfKit(tmp_path / "b", broker.settings("cam-b"), "bench:size=160x90,rate=5")
    (tmp_path / "a").mkdir()
    unit = Unit(tmp_path / "a", "--preset", preset)
    yield unit, other
    unit.close()
    other.close()
    broker.kill()


def marks_of(journal):
    try:
        with StoreReader(journal) as file:
            return list(file.heads())
    except JournalError:  # it is being made
        return []


def test_one_page_shows_all_units_and_marks_on_all_with_one_slate(kit, browser, tmp_path):
    unit, other = kit
    with paired(browser, unit) as page:
        page.get_by_role("button", name="more").tap()
        page.get_by_role("button", name="Units of the kit").tap()
        wall = page.locator("#wall li")
        other.until(lambda: wall.count() == 2 and wall.nth(1).get_attribute("data-here") == "true")
        # A unit that gets no processor for a while is stale meanwhile, and says so.
        both = re.compile(r"cam-a.*±\d.*cam-b.*±\d", re.DOTALL)
        other.until(lambda: both.search(page.locator("#wall").inner_text()) is not None)
        assert "steady" not in wall.nth(1).inner_text()  # nobody watches its light
        look(page, "wall")
        nothing_grave(page, "wall")
        page.get_by_role("button", name="Mark on all").tap()
        assert page.get_by_label("on every unit of the kit").is_checked()
        page.get_by_label("Scene").fill("12")
        look(page, "slate-of-all")
        nothing_grave(page, "slate of all")
        page.locator("#slate").get_by_role("button", name="Mark", exact=True).tap()
        other.until(lambda: other.marking._made is not None and other.marking._made.saved == 1)
        # A note that says so is gone after seconds; the journal stays.
        other.until((tmp_path / "a" / "journal.db").exists)
        other.until(lambda: len(marks_of(tmp_path / "a" / "journal.db")) == 1)
        assert (other.marking.slate().scene, other.marking.slate().camera) == ("12", "own")
        # What is gone has no number, and its reason.
        other.kitting.close()
        page.get_by_role("button", name="more").tap()
        page.get_by_role("button", name="Units of the kit").tap()
        gone = sync_api.expect(wall.nth(1).locator('[data-part="reading"]'))
        gone.to_have_text("was switched off", timeout=EXPECTED_MS)
        look(page, "wall-gone")
        nothing_grave(page, "wall, one unit gone")
        assert page.faults == []
    (row,) = marks_of(tmp_path / "a" / "journal.db")
    assert row.head["slate"]["scene"] == "12"
