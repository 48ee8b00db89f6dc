"""What each address answers, to phones that are paired and to all others."""

import json
import string

import httpx2
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from firmware.page.application import FILES, STATIC
from firmware.page.live_socket import COOKIE, NOT_PAIRED
from firmware.page.look import SIDES
from firmware.page.pairing import MOST_TRIES, Outcome
from firmware.page.request_guard import FAILED, MOST_TABLE, TABLE_TOO_LARGE
from firmware.profiles.shelf import own_profiles
from tests.firmware.page.conftest import CODE, HOST, ORIGIN

PROFILE = b'title = "B camera"\ncurve = "V-Log"\ntarget = "0 st"\n'
CUBE = b"LUT_1D_SIZE 2\n0 0 0\n1 1 1\n"
CLOSED = ["/phones", "/slate", "/journal", "/journal.csv", "/journal.html"]
OPEN = [*FILES, "/look.css", "/manifest.webmanifest", "/me", "/type.ttf"]


def pair(client, code=CODE, name="Anna"):
    return client.post("/pair", json={"code": code, "name": name}, headers=ORIGIN)


@pytest.mark.parametrize("path", [*OPEN, *(f"/icon-{side}.png" for side in SIDES)])
def test_what_the_page_is_made_of_is_there_for_everybody(client, path):
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.content


def test_nothing_of_the_page_is_asked_for_elsewhere():
    for file in STATIC.iterdir():
        text = file.read_text()
        assert "//cdn" not in text
        places = [part.split('"')[0] for part in text.split('"http')[1:]]
        assert places == [], file.name
        assert "import(" not in text


@pytest.mark.parametrize("path", CLOSED)
def test_what_is_marked_is_for_paired_phones(client, path):
    answer = client.get(path)
    assert (answer.status_code, answer.json()) == (401, {"error": NOT_PAIRED})


@pytest.mark.parametrize(
    "path", ["/phones/forget", "/profiles/mine", "/tables/mine.cube", "/versions/a.update"]
)
def test_what_changes_anything_is_for_paired_phones(client, path, served):
    served.phones.admit("Anna")
    answer = client.post(path, content=b'{"number": 1}', headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (401, {"error": NOT_PAIRED})
    assert len(served.phones.listed()) == 1


def test_pairing_gives_a_token_that_no_script_can_read(client, served):
    served.pairing.open()
    answer = pair(client)
    assert answer.status_code == 200
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert client.get("/me").json() == {"paired": True, "name": "Anna"}
    assert client.cookies[COOKIE] not in answer.text


def test_a_code_that_was_used_pairs_nobody_else(client, served):
    served.pairing.open()
    pair(client)
    client.cookies.clear()
    answer = pair(client)
    assert (answer.status_code, answer.json()["error"]) == (403, Outcome.CLOSED.value)


def test_five_wrong_codes_lock_out(client, served, clock):
    served.pairing.open()
    for _ in range(MOST_TRIES - 1):
        assert pair(client, "00000000").status_code == 403
        clock.move(1.0)
    assert pair(client, "00000000").status_code == 429
    clock.move(1.0)
    answer = pair(client)
    assert (answer.status_code, answer.json()["error"]) == (429, Outcome.LOCKED.value)
    assert served.phones.listed() == ()


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b'{"code": 1}', b'{"code": "1", "name": []}'])
def test_what_is_no_code_is_no_try(client, served, body):
    served.pairing.open()
    assert client.post("/pair", content=body, headers=ORIGIN).status_code == 400
    assert pair(client).status_code == 200


def test_phones_are_listed_without_their_tokens_and_let_go(paired, phone):
    other = phone("Ben")
    listed = paired.get("/phones").json()
    assert [(each["name"], each["own"]) for each in listed] == [("Anna", True), ("Ben", False)]
    assert {tuple(each) for each in listed} == {("number", "name", "since", "own")}
    assert paired.post("/phones/forget", json={"number": 2}, headers=ORIGIN).status_code == 200
    assert other.get("/phones").status_code == 401  # its token is worth nothing any more
    assert paired.post("/phones/forget", json={"number": 2}, headers=ORIGIN).status_code == 404
    assert paired.post("/phones/forget", json={"number": "2"}, headers=ORIGIN).status_code == 400


@pytest.mark.parametrize("token", ["", "x", "a" * 43, "../../etc/passwd", "a" * 4000])
def test_a_token_of_nobodys_opens_nothing(client, served, token):
    served.phones.admit("Anna")
    client.cookies.set(COOKIE, token)
    assert {client.get(path).status_code for path in CLOSED} == {401}


def test_the_slate_is_told(paired):
    assert paired.get("/slate").json()["scene"] == "7"


def test_a_profile_is_kept_once_it_is_right(paired, tmp_path):
    answer = paired.post("/profiles/B%20camera", content=PROFILE, headers=ORIGIN)
    assert answer.status_code == 200
    assert "next start" in answer.json()["said"]
    (found,) = own_profiles({"XDG_CONFIG_HOME": str(tmp_path / "config")}).profiles
    assert found.title == "B camera"


def test_a_malformed_profile_is_refused_with_its_mistakes_and_not_kept(paired, tmp_path):
    answer = paired.post("/profiles/mine", content=b"curve = 3\ntargt = 1\n", headers=ORIGIN)
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("mine.toml:1: curve")
    assert "mine.toml:2: targt" in answer.json()["error"]
    assert not (tmp_path / "config").exists()


def test_a_table_is_kept_and_then_a_profile_that_names_it(paired, tmp_path):
    named = PROFILE + b'[screen]\nview = "cube"\ncube = "look.cube"\n'
    answer = paired.post("/profiles/mine", content=named, headers=ORIGIN)
    assert (answer.status_code, answer.json()["error"]) == (
        409,
        "its table look.cube is not on the unit: bring that first",
    )
    assert not (tmp_path / "config").exists()
    answer = paired.post("/tables/look.cube", content=CUBE, headers=ORIGIN)
    assert answer.json()["said"].startswith("look.cube is kept; a profile names it")
    assert paired.post("/profiles/mine", content=named, headers=ORIGIN).status_code == 200
    (found,) = own_profiles({"XDG_CONFIG_HOME": str(tmp_path / "config")}).profiles
    assert found.monitor.own.name == "look.cube"


@pytest.mark.parametrize(
    ("name", "content", "status", "words"),
    [
        ("look.cube", b"LUT_1D_SIZE 2\n0 0\n", 422, "look.cube: line 2: an entry is three numbers"),
        ("look.txt", CUBE, 409, "a table's name is letters"),
        (f"{'a' * 30}.cube", CUBE, 409, "24 of them at the most"),
        ("look.cube", b"#" * (MOST_TABLE + 1), 413, TABLE_TOO_LARGE),
    ],
)
def test_what_is_no_table_is_refused_and_not_kept(paired, tmp_path, name, content, status, words):
    answer = paired.post(f"/tables/{name}", content=content, headers=ORIGIN)
    assert answer.status_code == status
    assert words in answer.json()["error"]
    assert not (tmp_path / "config").exists()


@pytest.mark.parametrize("name", ["standard", "HLG", "..%2Fmine", "%2e%2e", ".hidden", "a" * 60])
def test_a_name_that_is_taken_or_none_is_refused(paired, tmp_path, name):
    answer = paired.post(f"/profiles/{name}", content=PROFILE, headers=ORIGIN)
    assert answer.status_code in {404, 405, 409}
    assert not (tmp_path / "config").exists()


def test_a_journal_that_is_not_there_yet_is_empty(paired):
    assert paired.get("/journal").json() == []
    answer = paired.get("/journal.csv")
    assert (answer.status_code, answer.json()["error"]) == (409, "nothing was marked yet")
    answer = paired.get("/journal.csv?day=yesterday")
    assert answer.status_code == 409
    assert "is no day" in answer.json()["error"]


def test_a_fault_is_no_traceback_to_the_phone(paired, served, monkeypatch, capsys):
    client = TestClient(paired.app, HOST, raise_server_exceptions=False, cookies=paired.cookies)
    monkeypatch.setattr(type(served.phones), "listed", lambda _: 1 / 0)
    answer = client.get("/phones")
    assert (answer.status_code, answer.json()) == (500, {"error": FAILED})
    assert capsys.readouterr().err == "midgrey: page: ZeroDivisionError: division by zero\n"


PATHS = st.sampled_from([*OPEN, *CLOSED, "/pair", "/phones/forget", "/live"]) | st.text(
    string.ascii_letters + string.digits + "/%.-_?=&", max_size=30
).map(lambda rest: f"/{rest}")


METHODS = st.sampled_from(["GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS"])
BODIES = st.binary(max_size=60) | st.dictionaries(
    st.sampled_from(["code", "name", "id", "number", "slate", ""]) | st.text(max_size=6),
    st.integers() | st.text(max_size=9) | st.none() | st.lists(st.integers(), max_size=2),
).map(lambda found: json.dumps(found).encode())
FUZZED = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    max_examples=max(150, settings.default.max_examples if settings.default else 0),
)


@FUZZED
@given(method=METHODS, path=PATHS, body=BODIES, is_own=st.booleans())
def test_any_request_is_answered_and_none_without_a_token_changes_anything(
    client, served, method, path, body, is_own
):
    client.cookies.clear()
    headers = ORIGIN if is_own else {}
    before = served.phones.listed()
    answer = client.request(method, f"{HOST}{path}", content=body, headers=headers)
    assert answer.status_code < 500
    assert "Traceback" not in answer.text
    if answer.status_code >= 400 and method != "HEAD":
        assert answer.json()["error"]
    assert served.phones.listed() == before
    assert served.hub.take_asked() == []


SENT = st.sampled_from(["/profiles/b.toml", "/tables/b.cube", "/journal.csv?day=", "/phones/1"])


@FUZZED
@given(
    method=METHODS,
    path=PATHS | st.builds(str.__add__, SENT, st.text(string.printable, max_size=12)),
    body=BODIES | st.sampled_from([PROFILE, CUBE]).map(lambda sent: sent + b"x"),
)
def test_any_request_of_a_paired_phone_is_answered_in_words(client, served, method, path, body):
    if not served.phones.listed():  # it may just have been told to forget this very phone
        client.cookies.set(COOKIE, served.phones.admit("Anna"))
    try:
        answer = client.request(method, f"{HOST}{path}", content=body, headers=ORIGIN)
    except httpx2.InvalidURL:
        reject()
    assert answer.status_code < 500
    assert "Traceback" not in answer.text
    if answer.status_code >= 400 and method != "HEAD":
        assert answer.json()["error"]
