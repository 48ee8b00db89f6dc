"""Versions that phones bring: whole where the updater looks, or not there at all."""

import asyncio
import shutil
from dataclasses import replace
from types import SimpleNamespace

import pytest
from starlette.requests import ClientDisconnect
from starlette.testclient import TestClient

from firmware.errors import PageError
from firmware.page import versions
from firmware.page.application import application
from firmware.page.live_socket import COOKIE, NOT_PAIRED
from firmware.page.versions import (
    BROUGHT,
    LEFT,
    NOT_ALLOWED,
    keep_version,
    said_of_version,
)
from tests.firmware.page.conftest import HOST, ORIGIN


async def pieces(*content, fault=None):
    for each in content:
        yield each
    if fault is not None:
        raise fault


def kept(name, folder, *content, fault=None):
    return asyncio.run(keep_version(name, pieces(*content, fault=fault), folder))


def test_it_is_there_whole_under_its_name(tmp_path):
    folder = tmp_path / "incoming"
    big = bytes(range(256)) * 9000
    assert kept("midgrey-0.9.0.update", folder, b"a", big, b"z") == BROUGHT
    (file,) = folder.iterdir()
    assert file.name == "midgrey-0.9.0.update"
    assert file.read_bytes() == b"a" + big + b"z"


@pytest.mark.parametrize(
    "name",
    ["x.toml", "x", ".update", "../x.update", "a/b.update", ".x.update", "x" * 90 + ".update"],
)
def test_another_name_is_none(tmp_path, name):
    with pytest.raises(PageError, match=r"ends in \.update"):
        kept(name, tmp_path / "incoming", b"x")
    assert list(tmp_path.iterdir()) == []


def test_one_too_large_leaves_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(versions, "MOST_BYTES", 100)
    with pytest.raises(PageError, match="too large for a version"):
        kept("x.update", tmp_path, bytes(60), bytes(41))
    assert list(tmp_path.iterdir()) == []


def test_a_card_without_room_is_not_filled(tmp_path, monkeypatch):
    usage = SimpleNamespace(free=LEFT + 100)
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: usage)
    kept("x.update", tmp_path, bytes(100))
    with pytest.raises(PageError, match="no room for it"):
        kept("y.update", tmp_path, bytes(101))
    assert [each.name for each in tmp_path.iterdir()] == ["x.update"]


def test_a_phone_that_goes_away_leaves_nothing(tmp_path):
    with pytest.raises(ClientDisconnect):
        kept("x.update", tmp_path, b"part", fault=ClientDisconnect())
    assert list(tmp_path.iterdir()) == []


def test_a_card_that_takes_none_is_one_sentence(tmp_path):
    (tmp_path / "incoming").write_bytes(b"in the way")
    with pytest.raises(PageError, match="the version cannot be kept"):
        kept("x.update", tmp_path / "incoming", b"x")


def test_what_the_updater_said_is_told(tmp_path):
    assert said_of_version(tmp_path / "none") == ""
    (tmp_path / "said").write_text("0.9.0 is\non trial\n")
    assert said_of_version(tmp_path / "said") == "0.9.0 is on trial"


@pytest.fixture
def incoming(tmp_path):
    return tmp_path / "incoming"


def phone(served, *, is_paired=True):
    client = TestClient(application(served), base_url=HOST)
    if is_paired:
        client.cookies.set(COOKIE, served.phones.admit("Anna"))
    return client


def test_a_paired_phone_brings_one_where_the_preset_allows_it(served, incoming):
    client = phone(replace(served, incoming=incoming))
    assert client.get("/versions").json()["takes"] is True
    answer = client.post("/versions/new.update", content=b"x" * 3_000_000, headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (200, {"said": BROUGHT})
    assert (incoming / "new.update").stat().st_size == 3_000_000


def test_it_is_refused_where_the_preset_does_not_say_so(served):
    client = phone(served)
    assert client.get("/versions").json()["takes"] is False
    answer = client.post("/versions/new.update", content=b"x", headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (403, {"error": NOT_ALLOWED})


def test_it_passes_the_same_door_as_all_else(served, incoming):
    served = replace(served, incoming=incoming)
    stranger = phone(served, is_paired=False)
    answer = stranger.post("/versions/new.update", content=b"x", headers=ORIGIN)
    assert (answer.status_code, answer.json()) == (401, {"error": NOT_PAIRED})
    assert stranger.get("/versions").status_code == 401
    paired = phone(served)
    elsewhere = paired.post(
        "/versions/new.update", content=b"x", headers={"origin": "http://elsewhere"}
    )
    assert elsewhere.status_code == 403
    assert not incoming.exists()


def test_a_name_that_is_none_is_said(served, incoming):
    client = phone(replace(served, incoming=incoming))
    answer = client.post("/versions/new.toml", content=b"x", headers=ORIGIN)
    assert answer.status_code == 409
    assert "ends in .update" in answer.json()["error"]


def test_one_that_says_it_is_too_large_is_not_even_begun(served, incoming):
    client = phone(replace(served, incoming=incoming))
    headers = {**ORIGIN, "content-length": "400000001"}
    answer = client.post("/versions/new.update", content=b"x", headers=headers)
    assert answer.status_code == 413
    assert "400 MB at the most" in answer.json()["error"]
    assert not incoming.exists()
