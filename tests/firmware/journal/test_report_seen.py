"""The report of the made day in a real browser: on a screen, on a phone, and printed to PDF.

Needs Chromium from the system's packages and Playwright from the `test` extra; where either is not
there, it is skipped and says so.
"""

import io
import re
import shutil

import pytest

from firmware.commands.journal import hand_over
from firmware.commands.own import JournalOptions
from firmware.journal.store_reader import StoreReader
from tests import made_day

sync_api = pytest.importorskip("playwright.sync_api")
CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed (apt)")
SETUPS = ["Scene 12, shot A, camera A", "Scene 12, shot B, camera B", "Scene 14, shot A, camera A"]
PICTURES = "[...document.querySelectorAll('img, svg image')]"
LOADED = f"""async () => Promise.all({PICTURES}.map(async each => {{
    const picture = new Image();
    picture.src = each.src || each.getAttribute('href') || each.getAttribute('xlink:href');
    await picture.decode();
    return [picture.naturalWidth, picture.naturalHeight];
}}))"""
STYLES = "([tag, key]) => [...document.querySelectorAll(tag)].map(e => getComputedStyle(e)[key])"
SIDEWAYS = "document.documentElement.scrollWidth - window.innerWidth"


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    folder = tmp_path_factory.mktemp("day")
    made_day.write(folder / "day.db", seconds=8.0)
    with StoreReader(folder / "day.db") as file:
        hand_over(file, JournalOptions(report=folder / "day.html"), io.StringIO())
    return folder / "day.html"


@pytest.fixture(scope="module")
def seen(path):
    with sync_api.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.asked, page.faults = [], []
        page.on("request", lambda asked: page.asked.append(asked.url))
        page.on("pageerror", lambda fault: page.faults.append(str(fault)))
        page.on("console", lambda said: page.faults.append(said.text))
        page.goto(path.as_uri())
        yield page
        browser.close()


def test_it_is_whole_without_a_network(seen, path):
    outside = [url for url in seen.asked if not url.startswith("data:")]
    assert outside == [path.as_uri()]
    assert seen.faults == []
    sizes = seen.evaluate(LOADED)
    assert len(sizes) >= 3 * 7  # a still, the trace and the chroma trace of each of seven marks
    assert all(columns > 0 and rows > 0 for columns, rows in sizes)


@pytest.mark.parametrize("width", [1280, 390])
def test_nothing_has_to_be_pushed_sideways(seen, width):
    seen.set_viewport_size({"width": width, "height": 844})
    assert seen.evaluate(SIDEWAYS) <= 0


def test_setups_come_in_the_order_of_the_day(seen):
    found = seen.get_by_role("heading", level=2).all_inner_texts()
    assert [each for each in found if each.startswith("Scene")] == SETUPS


def test_it_prints_to_pages_with_words_that_can_be_searched(seen, tmp_path):
    printed = tmp_path / "day.pdf"
    seen.pdf(path=printed, format="A4")
    data = printed.read_bytes()
    assert data.startswith(b"%PDF-")
    pages = len(re.findall(rb"/Type /Page\b", data))
    assert len(SETUPS) < pages <= 12
    assert b"/Font" in data
    # A mark is not torn from its heading, nor in two.
    seen.emulate_media(media="print")
    assert set(seen.evaluate(STYLES, ["h3", "breakAfter"])) == {"avoid"}
    assert set(seen.evaluate(STYLES, ["article", "breakInside"])) == {"avoid"}
