"""Which phones are paired, and over a power cut."""

import json
import stat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.errors import PageError
from firmware.page.phones import LONGEST_NAME, MOST_PHONES, NAME, UNNAMED, Phones, hashed, named

DAY_S = 1_795_737_600.0  # 2026-11-27


@pytest.fixture
def path(tmp_path):
    return tmp_path / "state" / NAME


def phones(path, said=None):
    return Phones(path, HandClock(wall_start_s=DAY_S), [].append if said is None else said.append)


def test_a_token_is_known_until_it_is_forgotten_and_then_never_again(path):
    made = phones(path)
    token = made.admit("Anna")
    assert made.of(token).name == "Anna"
    assert made.forget(made.of(token).number)
    assert made.of(token) is None
    assert phones(path).of(token) is None
    assert not made.forget(1)


def test_only_hashes_are_kept_and_only_for_this_user(path):
    token = phones(path).admit("Anna")
    text = path.read_text()
    assert token not in text
    assert hashed(token) in text
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_they_are_there_again_after_a_restart(path):
    tokens = [phones(path).admit(name) for name in ("Anna", "Ben")]
    again = phones(path)
    assert [again.of(token).name for token in tokens] == ["Anna", "Ben"]
    assert [each.since for each in again.listed()] == ["2026-11-27"] * 2
    assert again.forget_all() == 2
    assert phones(path).listed() == ()


def test_numbers_are_not_used_again(path):
    made = phones(path)
    made.admit("Anna")
    token = made.admit("Ben")
    made.forget(1)
    made.admit("Cleo")
    assert [each.number for each in made.listed()] == [2, 3]
    assert made.of(token).number == 2


def test_there_are_only_so_many(path):
    made = phones(path)
    for _ in range(MOST_PHONES):
        made.admit("phone")
    with pytest.raises(PageError, match="forget one first"):
        made.admit("one more")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b'{"phones": 3}',
        b'{"phones": [3]}',
        b'{"phones": [{"number": "1", "name": "a", "token_sha256": "b"}]}',
        b"\xff" * 100,
        b"x" * 30_000,
    ],
)
def test_a_spoilt_list_is_said_and_pairs_nobody(path, content):
    path.parent.mkdir()
    path.write_bytes(content)
    said: list[str] = []
    made = phones(path, said)
    assert made.listed() == ()
    assert len(said) == 1
    assert "pair them again" in said[0]


def test_a_card_that_takes_none_is_said_and_the_phone_is_paired_for_now(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    said: list[str] = []
    made = phones(blocked / NAME, said)
    assert made.of(made.admit("Anna")) is not None
    assert "cannot be written" in said[0]


def test_without_a_file_none_are_kept():
    made = phones(None)
    assert made.of(made.admit("Anna")).name == "Anna"


@given(st.text(max_size=80))
def test_any_name_fits_into_a_list(text):
    name = named(text)
    assert 0 < len(name) <= LONGEST_NAME
    assert name.isprintable()
    assert json.loads(json.dumps(name)) == name


@given(st.text(max_size=60))
def test_no_other_text_is_a_token(text):
    made = phones(None)
    token = made.admit(UNNAMED)
    assert (made.of(text) is not None) is (text == token)
