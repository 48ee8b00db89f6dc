"""What every request passes."""

import asyncio

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from firmware.page.request_guard import (
    ELSEWHERE,
    FAILED,
    FOREIGN,
    HEADERS,
    MOST_BODY,
    TOO_LARGE,
    Guard,
)
from tests.firmware.page.conftest import HOST, ORIGIN


def test_every_answer_has_strict_headers(client):
    for path in ("/", "/me", "/page.js", "/nowhere", "/journal"):
        answer = client.get(path)
        for name, value in HEADERS.items():
            assert answer.headers[name] == value, (path, name)


def test_nothing_from_elsewhere_is_allowed():
    policy = dict(part.split(" ", 1) for part in HEADERS["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["frame-ancestors"] == "'none'"
    # CSP Level 3 (W3C): what is neither named here nor of this origin is not loaded.
    allowed = {source for sources in policy.values() for source in sources.split()}
    assert allowed == {"'none'", "'self'", "blob:"}


@pytest.mark.parametrize(
    "host",
    ["10.42.0.1", "10.42.0.1:8800", "localhost", "unit.local", "UNIT.local:80", "[fe80::1]:80"],
)
def test_the_unit_is_known_by_its_addresses_and_names(client, host):
    assert client.get("/me", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "unit.local.example", "", "10.42.0.1.example"]
)
def test_a_name_that_is_not_the_units_is_refused(client, host):
    # A page elsewhere whose name points at the unit would be of its own origin otherwise.
    answer = client.get("/me", headers={"host": host})
    assert (answer.status_code, answer.json()) == (421, {"error": ELSEWHERE})


@pytest.mark.parametrize(
    "origin", [None, "http://elsewhere.example", "null", "https://10.42.0.1", "http://10.42.0.1:81"]
)
def test_what_another_page_asks_for_is_not_done(paired, served, origin):
    headers = {} if origin is None else {"origin": origin}
    for path in ("/pair", "/phones/forget", "/profiles/mine"):
        answer = paired.post(path, json={"number": 1}, headers=headers)
        assert (answer.status_code, answer.json()) == (403, {"error": FOREIGN}), path
    headers |= {"host": "10.42.0.1"}
    with pytest.raises(WebSocketDisconnect) as gone:
        paired.websocket_connect("/live", headers=headers).__enter__()
    assert gone.value.reason == FOREIGN
    assert len(served.phones.listed()) == 1


def test_what_is_too_large_is_refused_before_it_is_read(paired, tmp_path):
    body = b"x" * (MOST_BODY + 1)
    answer = paired.post("/profiles/mine", content=body, headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (413, {"error": TOO_LARGE})

    def pieces():
        for _ in range(MOST_BODY // 1000 + 2):
            yield b"x" * 1000

    answer = paired.post("/profiles/mine", content=pieces(), headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (413, {"error": TOO_LARGE})
    assert not (tmp_path / "config").exists()


@pytest.mark.parametrize("length", ["-1", "1e3", "9" * 30, "abc", "٣"])
def test_a_length_that_is_none_is_refused(length):
    guard = Guard(lambda *_: None, frozenset())
    headers = {"host": "10.0.0.1", "content-length": length, "origin": "http://10.0.0.1"}
    assert guard.refusal({"type": "http", "method": "POST"}, headers)[0] in {400, 413}


def test_a_fault_is_one_sentence_to_the_phone_and_one_line_in_the_log(capsys):
    async def failing(*_):
        raise ZeroDivisionError("no phone has to read this")

    answer = TestClient(Guard(failing, frozenset()), HOST).get("/")
    assert (answer.status_code, answer.json()) == (500, {"error": FAILED})
    said = capsys.readouterr().err
    assert said == "midgrey: page: ZeroDivisionError: no phone has to read this\n"


def test_a_fault_of_a_websocket_ends_it_alone(capsys):
    async def failing(*_):
        raise ZeroDivisionError

    scope = {
        "type": "websocket",
        "headers": [(b"host", b"10.0.0.1"), (b"origin", b"http://10.0.0.1")],
    }
    asyncio.run(Guard(failing, frozenset())(scope, None, None))
    assert "ZeroDivisionError" in capsys.readouterr().err
