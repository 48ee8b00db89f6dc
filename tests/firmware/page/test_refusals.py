"""What a unit refuses, asked for by a real browser: codes, origins, tokens, uploads."""

import re
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread

import pytest

from firmware.page.pairing import MOST_TRIES, Outcome
from firmware.page.request_guard import MOST_BODY, TOO_LARGE
from tests.firmware.page.test_browser import (
    CHROMIUM,
    EXPECTED_MS,
    UPRIGHT,
    Unit,
    _open,
    browser,
    look,
    paired,
    sync_api,
)

__all__ = ["browser"]
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed (apt)")
ASK = """async ([path, method, body]) => {
    const answer = await fetch(path, {method, body, headers: {"content-type": "text/plain"}});
    return [answer.status, await answer.text()];
}"""
FROM_ELSEWHERE = """async ([unit, host]) => {
    // What a page elsewhere can do at all: send, and not read what is answered.
    await fetch(`${unit}/pair`, {method: "POST", mode: "no-cors", body: "{}"}).catch(() => null);
    const live = new WebSocket(`ws://${host}/live`);
    const opened = await new Promise((done) => {
        live.onopen = () => done("open");
        live.onclose = live.onerror = () => done("closed");
    });
    const read = await fetch(`${unit}/me`).then(() => "read", () => "kept from it");
    return [opened, read];
}"""


@pytest.fixture(scope="module")
def unit(tmp_path_factory):
    made = Unit(tmp_path_factory.mktemp("refusing"))
    yield made
    made.close()


@pytest.fixture
def elsewhere(tmp_path):
    """Another page, of another origin on this machine."""
    (tmp_path / "index.html").write_text("<!DOCTYPE html><title>elsewhere</title>")
    made = ThreadingHTTPServer(
        ("127.0.0.1", 0), partial(SimpleHTTPRequestHandler, directory=str(tmp_path))
    )
    Thread(target=made.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{made.server_port}"
    made.shutdown()
    made.server_close()


def ask(page, path, method="GET", body=None):
    return page.evaluate(ASK, [path, method, body])


def test_what_a_browser_is_refused_with_a_token_without_one_and_with_an_old_one(
    browser, unit, tmp_path, elsewhere
):
    with paired(browser, unit) as phone:
        sync_api.expect(phone.locator("#unit")).to_be_visible()
        assert ask(phone, "/journal")[0] == 200
        bring(phone, tmp_path)
        tokens = phone.context.cookies()
        # Another origin, with the token in the same browser.
        other = phone.context.new_page()
        other.goto(elsewhere)
        opened, read = other.evaluate(FROM_ELSEWHERE, [unit.url, f"127.0.0.1:{unit.port}"])
        assert (opened, read) == ("closed", "kept from it")
        other.close()
        phone.get_by_role("button", name="more").tap()
        phone.get_by_role("button", name="Forget Anna").tap()
        sync_api.expect(phone.get_by_label("Code")).to_be_visible()
    for name, cookies in (("no token", []), ("a revoked one, played again", tokens)):
        context = browser.new_context(viewport=UPRIGHT)
        page = context.new_page()
        page.goto(unit.url)
        context.add_cookies(cookies)
        for path in ("/journal", "/phones", "/journal.csv"):
            assert ask(page, path)[0] == 401, (name, path)
        assert ask(page, "/profiles/x.toml", "POST", 'title = "x"')[0] == 401, name
        context.close()


def bring(phone, tmp_path):
    """Files that are none to be kept: each is refused in words."""
    phone.get_by_role("button", name="more").tap()
    said = sync_api.expect(phone.locator("#profile-said"))
    wrong, large = tmp_path / "wrong.toml", tmp_path / "large.toml"
    wrong.write_text('title = "B"\ncurve = "no such curve"\ntarget = 5\n')
    phone.get_by_label("A profile's file").set_input_files(wrong)
    said.to_contain_text("no such curve", timeout=EXPECTED_MS)
    said.to_contain_text("target")
    look(phone, "malformed-profile")
    large.write_text("#" * (MOST_BODY + 1))
    phone.get_by_label("A profile's file").set_input_files(large)
    said.to_have_text(TOO_LARGE, timeout=EXPECTED_MS)
    phone.locator("#rest").get_by_role("button", name="Close").tap()


def test_five_wrong_codes_lock_out_and_the_right_one_too(browser, tmp_path):
    unit = Unit(tmp_path)
    try:
        context = browser.new_context(viewport=UPRIGHT)
        page = context.new_page()
        _open(page, unit)
        right = re.search(r"the code ([\d ]+)", unit.said())[1]
        said = page.locator("#pair-said")
        for number in range(MOST_TRIES):
            page.get_by_label("Code").fill(f"0000000{number}")
            page.get_by_role("button", name="Pair this phone").click()
            last = number == MOST_TRIES - 1
            words = Outcome.LOCKED.value if last else Outcome.WRONG.value
            sync_api.expect(said).to_have_text(words, timeout=EXPECTED_MS)
            page.wait_for_timeout(1100)  # nobody types faster, and it would not count
            page.evaluate("document.getElementById('pair-said').textContent = ''")
        page.get_by_label("Code").fill(right)
        page.get_by_role("button", name="Pair this phone").click()
        sync_api.expect(said).to_have_text(Outcome.LOCKED.value, timeout=EXPECTED_MS)
        assert not page.locator("#unit").is_visible()
        look(page, "locked-out")
        context.close()
    finally:
        unit.close()
