"""A phone in the unit's own network: a real Chromium, its way to the unit a forwarded port."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from machine import ADDRESS, MachineError

UPRIGHT = {"width": 390, "height": 844}
SLOW_MS = 180_000
"""The emulated board takes its time for everything that a phone asks."""
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
QUIET += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
KEPT = os.environ.get("MIDGREY_PAGE_PICTURES", "")
"""A folder for pictures of the page, for whoever wants to look at them."""


@contextmanager
def phone(port: int) -> Iterator["Hand"]:
    """A phone that opens the unit's own address, through a port of this machine."""
    try:
        from playwright.sync_api import sync_playwright  # noqa: PLC0415 - only where it is asked for
    except ImportError as fault:
        raise MachineError(f"{fault}: pip install -e '.[test]'") from fault
    chromium = shutil.which("chromium")
    if chromium is None:
        raise MachineError("no Chromium: apt-get install chromium")
    way = f"--host-resolver-rules=MAP {ADDRESS}:80 127.0.0.1:{port}"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=[*QUIET, way])
        try:
            context = browser.new_context(viewport=UPRIGHT, has_touch=True, is_mobile=True)
            context.set_default_timeout(SLOW_MS)
            yield Hand(context.new_page())
        finally:
            browser.close()


class Hand:
    """Whoever holds it: reads what stands there, and presses what is named."""

    def __init__(self, page: Any) -> None:
        self.page = page

    def look(self, name: str) -> None:
        """Keep a picture of the page, where somebody wants one."""
        if KEPT:
            self.page.screenshot(path=f"{KEPT}/board-{name}.png")

    def pair(self, code: str, name: str) -> None:
        """Open the unit's address and type the code."""
        self.page.goto(f"http://{ADDRESS}", timeout=SLOW_MS)
        self.page.get_by_label("Code").fill(code)
        self.page.get_by_label("What this phone is called").fill(name)
        self.look("pairing")
        self.page.get_by_role("button", name="Pair this phone").click()
        self.until("the picture", "live", "#face")

    def view(self, name: str) -> None:
        """Turn to a view by the index."""
        self.page.locator("#rail").get_by_role("button", name="views").tap()
        self.page.locator(f'#view-list [data-key="{name}"]').tap()
        self.until(f"the view {name}", name, "#view")

    def press(self, label: str) -> None:
        """Press what stands on the rail, or on the sheet *more*."""
        on_rail = self.page.locator("#rail").get_by_role("button", name=label, exact=True)
        if on_rail.count():
            on_rail.first.tap()
            return
        self.page.locator("#rail").get_by_role("button", name="more").tap()
        self.page.locator("#sheets").get_by_role("button", name=label, exact=True).first.tap()
        self.page.locator("#rest").get_by_role("button", name="Close").tap()

    def reads(self, pattern: str, where: str = "#reading") -> str:
        """Wait until a text of the page fits; the text."""
        return self.until(pattern, pattern, where, is_pattern=True)

    def until(self, what: str, words: str, where: str, *, is_pattern: bool = False) -> str:
        """Wait for words in a place of the page; what stands there then."""
        fits = "new RegExp(words, 's').test(text)" if is_pattern else "text.includes(words)"
        code = f"""([where, words]) => {{
            const text = document.querySelector(where)?.innerText ?? "";
            return {fits} ? text || " " : false;
        }}"""
        try:
            found = self.page.wait_for_function(code, arg=[where, words], timeout=SLOW_MS)
        except Exception as fault:  # playwright's own, which is not loaded here
            shown = self.page.locator("body").inner_text()
            self.look("missing")
            raise MachineError(f"no {what!r} in {where}; the page says:\n{shown}") from fault
        return str(found.json_value())

    def mark(self, **slate: str) -> None:
        """Mark with a slate."""
        self.page.locator("#rail").get_by_role("button", name="mark").tap()
        for label, words in slate.items():
            self.page.get_by_label(label.capitalize(), exact=True).fill(words)
        self.page.locator("#slate").get_by_role("button", name="Mark", exact=True).tap()

    def fetch(self, button: str) -> Path:
        """Press what downloads something; the file."""
        with self.page.expect_download(timeout=2 * SLOW_MS) as got:
            self.page.get_by_role("button", name=button).tap()
        return Path(got.value.path())

    def open_journal(self) -> None:
        """The list of marks."""
        self.page.locator("#rail").get_by_role("button", name="more").tap()
        self.page.get_by_role("button", name="Journal: marks and downloads").tap()
