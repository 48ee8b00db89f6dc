"""The page in a real browser on a real unit: what a person with a phone does, from pairing on.

Needs Chromium from the system's packages and Playwright from the `test` extra; where either is not
there, it is skipped and says so.
"""

import csv
import io
import os
import re
import shutil
import signal
import socket
import subprocess
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.running import START, environment

sync_api = pytest.importorskip("playwright.sync_api")
sync_api.expect.set_options(timeout=30_000)
CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed (apt)")
UPRIGHT, LYING = {"width": 390, "height": 844}, {"width": 844, "height": 390}
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
"""No window, and nothing of its own on the network."""
EXPECTED_MS = 30_000
BENCH = "bench:size=640x360,rate=5,noise=0.5"
KEPT = os.environ.get("MIDGREY_PAGE_PICTURES", "")
"""A folder for pictures of the page, for whoever wants to look at them."""


class Unit:
    """A headless unit in a process of its own."""

    def __init__(self, folder: Path, *more: object) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.err = (folder / "err").open("w+")
        words = ["run", BENCH, "--headless", "--page", f"127.0.0.1:{self.port}"]
        self.process = subprocess.Popen(
            [*START, *words, "--journal", str(folder / "journal.db"), *map(str, more)],
            env=environment(HOME=str(folder), SDL_VIDEODRIVER="dummy"),
            stdout=subprocess.DEVNULL,
            stderr=self.err,
        )

    def said(self) -> str:
        self.err.seek(0)
        return self.err.read()

    def close(self) -> None:
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(120)  # a mark that is being made is finished first
        self.err.close()


@pytest.fixture(scope="module")
def unit(tmp_path_factory):
    made = Unit(tmp_path_factory.mktemp("unit"))
    yield made
    made.close()


@pytest.fixture(scope="module")
def browser():
    with sync_api.sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield made
        made.close()


@pytest.fixture(scope="module")
def phone(browser, unit):
    """A phone that is paired, as a person pairs it."""
    with paired(browser, unit) as page:
        yield page


@contextmanager
def paired(browser, unit):
    """Any phone on any unit."""
    context = browser.new_context(viewport=UPRIGHT, has_touch=True, is_mobile=True, bypass_csp=True)
    context.set_default_timeout(EXPECTED_MS)
    page = context.new_page()
    page.faults = []
    page.on("pageerror", lambda fault: page.faults.append(str(fault)))
    page.on("console", lambda told: page.faults.append(told.text) if told.type == "error" else None)
    _open(page, unit)
    code = re.search(r"the code ([\d ]+)", unit.said())[1]
    page.get_by_label("Code").fill(code)
    page.get_by_label("What this phone is called").fill("Anna")
    page.get_by_role("button", name="Pair this phone").click()
    try:
        yield page
    finally:
        context.close()


def _open(page, unit):
    for _ in range(200):
        if "the code" in unit.said():
            break
        page.wait_for_timeout(100)
    page.goto(unit.url)


def look(page, name):
    if KEPT:
        page.screenshot(path=f"{KEPT}/{name}.png")


def nothing_grave(page, where):
    """Nothing serious is wrong with what is shown, for who cannot see or point (axe-core)."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    found = axe.run(page).response["violations"]
    grave = [each["id"] for each in found if each["impact"] in {"serious", "critical"}]
    assert grave == [], where


def main(page):
    return sync_api.expect(page.locator("#main"))


def test_numbers_follow_the_bench(phone):
    # The grey card under the usual exposure is mid-grey by the bench's own truth: 0 stops.
    main(phone).to_have_text(re.compile(r"^[+−]?0\.0\d$"))
    sync_api.expect(phone.locator("#beside")).to_have_text(re.compile(r"±\d\.\d+ st"))
    assert phone.locator("#simulated").is_visible()
    look(phone, "upright")
    numbers = set()
    for _ in range(40):
        numbers.add(phone.locator("#rows").inner_text())
        if len(numbers) > 1:
            break
        phone.wait_for_timeout(50)
    assert len(numbers) > 1  # noise: no two frames read the same to the last digit


def test_a_tap_moves_the_spot_and_sets_a_pin(phone):
    area = phone.locator("#picture").bounding_box()
    place = {"x": area["width"] * 0.609, "y": area["height"] * 0.43}  # the white card
    phone.locator("#picture").tap(position=place)
    main(phone).to_have_text(re.compile(r"^\+[12]\.\d+$"))
    phone.get_by_label("tap: pin").tap()
    phone.locator("#picture").tap(position=place)
    phone.get_by_role("button", name="views").tap()
    phone.locator('#view-list [data-key="pins"]').tap()
    sync_api.expect(phone.locator("#view")).to_have_text("pins")
    sync_api.expect(phone.locator("#rows")).to_contain_text("1")
    look(phone, "pins")


def test_every_view_stands_in_the_index_with_a_figure(phone):
    phone.get_by_role("button", name="views").tap()
    sync_api.expect(phone.locator("#view-list small").first).to_have_text(re.compile(r"\d"))
    look(phone, "views")
    phone.locator('#view-list [data-key="expose"]').tap()
    sync_api.expect(phone.locator("#view")).to_have_text("expose")


def test_another_profile_is_chosen(phone):
    phone.get_by_role("button", name="more").tap()
    look(phone, "more")
    other = phone.locator("#profiles button[aria-pressed=false]").first
    title = other.inner_text()
    other.tap()
    chosen = phone.locator("#profiles button[aria-pressed=true]")
    sync_api.expect(chosen).to_have_text(title)
    phone.locator("#rest").get_by_role("button", name="Close").tap()


def test_a_version_that_may_not_be_brought_is_refused_in_a_sentence(phone, tmp_path):
    file = tmp_path / "0.9.1.update"
    file.write_bytes(bytes(2_000_000))
    phone.get_by_role("button", name="more").tap()
    field = phone.get_by_label("a version of midgrey")
    field.set_input_files(file)
    sync_api.expect(phone.locator("#profile-said")).to_have_text(re.compile("page_updates = true"))
    field.scroll_into_view_if_needed()
    look(phone, "version")
    phone.locator("#rest").get_by_role("button", name="Close").tap()
    # The browser tells of the refusal too, which was meant.
    phone.faults[:] = [each for each in phone.faults if "403" not in each]


def test_a_mark_carries_the_slate_and_is_downloaded(phone):
    phone.locator("#rail").get_by_role("button", name="mark").tap()
    phone.get_by_label("Scene").fill("12")
    phone.get_by_label("Shot").fill("A")
    phone.get_by_role("button", name="next take").tap()
    look(phone, "slate")
    phone.locator("#slate").get_by_role("button", name="Mark", exact=True).tap()
    sync_api.expect(phone.locator("#note")).to_have_text(re.compile("mark 1 saved"))
    phone.get_by_role("button", name="more").tap()
    phone.get_by_role("button", name="Journal: marks and downloads").tap()
    sync_api.expect(phone.locator("#marks li")).to_contain_text("scene 12, shot A, take 1")
    look(phone, "journal")
    with phone.expect_download(timeout=100_000) as got:
        phone.get_by_role("button", name="Save table (CSV)").tap()
    rows = list(csv.DictReader(io.StringIO(Path(got.value.path()).read_text())))
    assert {(row["scene"], row["shot"], row["take"]) for row in rows} == {("12", "A", "1")}
    with phone.expect_download(timeout=100_000) as got:
        phone.get_by_role("button", name="Save report").tap()
    report = Path(got.value.path()).read_text()
    assert got.value.suggested_filename.endswith(".html")
    assert "Scene 12, shot A" in report
    phone.locator("#journal").get_by_role("button", name="Close").tap()


def test_lying_it_has_all_on_one_screen(phone):
    phone.set_viewport_size(LYING)
    main(phone).to_be_in_viewport(ratio=1)
    sync_api.expect(phone.locator("#picture")).to_be_in_viewport(ratio=0.9)
    sync_api.expect(phone.get_by_role("button", name="grey card")).to_be_in_viewport(ratio=1)
    phone.wait_for_timeout(300)
    look(phone, "lying")
    phone.set_viewport_size(UPRIGHT)
    for name in ("grey card", "views", "hold"):
        box = phone.locator("#rail").get_by_role("button", name=name).bounding_box()
        # WCAG 2.2, success criterion 2.5.5 (AAA): 44 by 44 CSS pixels.
        assert min(box["width"], box["height"]) >= 44, name


def test_nothing_is_seriously_wrong_for_who_cannot_see_or_point(phone):
    for sheet in ("", "views", "more", "mark"):
        if sheet:
            phone.locator("#rail").get_by_role("button", name=sheet).first.tap()
        nothing_grave(phone, sheet)
        if sheet:
            phone.locator("dialog[open]").get_by_role("button", name="Close").tap()
    # The journal with its mark; of the kit's two dialogs test_wall asks the same.
    phone.get_by_role("button", name="more").tap()
    phone.get_by_role("button", name="Journal: marks and downloads").tap()
    sync_api.expect(phone.locator("#marks li")).to_have_count(1)
    nothing_grave(phone, "journal")
    phone.locator("#journal").get_by_role("button", name="Close").tap()
    phone.set_viewport_size(LYING)
    nothing_grave(phone, "lying")
    phone.set_viewport_size(UPRIGHT)


def test_a_phone_that_is_not_paired_sees_only_where_the_code_goes(browser, unit):
    context = browser.new_context(viewport=UPRIGHT, bypass_csp=True)
    page = context.new_page()
    page.goto(unit.url)
    sync_api.expect(page.get_by_label("Code")).to_be_visible()
    nothing_grave(page, "pairing")
    page.get_by_label("Code").fill("00000000")
    page.get_by_role("button", name="Pair this phone").click()
    sync_api.expect(page.locator("#pair-said")).not_to_be_empty()
    look(page, "pairing")
    assert not page.locator("#unit").is_visible()
    context.close()


def test_a_phone_that_is_forgotten_is_asked_for_a_code_again(phone):
    phone.get_by_role("button", name="more").tap()
    phone.get_by_role("button", name="Forget Anna").tap()
    sync_api.expect(phone.get_by_label("Code")).to_be_visible()
    # Nothing failed all that time but what asked after the phone was forgotten.
    assert [each for each in phone.faults if "401" not in each and "1008" not in each] == []


def test_nothing_failed_in_the_unit_meanwhile(unit):
    assert "Traceback" not in unit.said()
    assert "page:" not in unit.said()
