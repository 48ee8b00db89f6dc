"""The file of settings as a card may hold it: whole, damaged, too large, no file at all."""

import json
import os
import random

import pytest

from firmware.kept import document, settings_file
from firmware.kept.settings_file import LARGEST_BYTES, factory_start, read_kept
from tests.firmware.kept.test_document import KEPT


@pytest.fixture
def path(tmp_path):
    return tmp_path / "settings.json"


def test_what_was_kept_is_found(path):
    assert read_kept(path).kept is None
    assert read_kept(path).said == ""
    path.write_bytes(KEPT.content())
    found = read_kept(path)
    assert (found.kept, found.said) == (KEPT, "")


@pytest.mark.parametrize("content", [b"", b"\0" * 64, KEPT.content()[:100], b'{"schema": 0}'])
def test_a_damaged_file_is_set_aside_with_a_sentence(path, content):
    path.write_bytes(content)
    found = read_kept(path)
    assert found.kept is None
    assert found.said.startswith(f"{path}: the settings are damaged (")
    assert "set aside as settings.damaged.json; midgrey starts as from the factory" in found.said
    assert [each.name for each in path.parent.iterdir()] == ["settings.damaged.json"]
    assert (path.parent / "settings.damaged.json").read_bytes() == content
    assert read_kept(path).said == ""


def test_what_cannot_be_read_is_said_and_left(path, monkeypatch):
    path.write_bytes(b" " * (LARGEST_BYTES + 1))
    assert "it is larger than 200000 bytes" in read_kept(path).said
    path.unlink()
    os.mkfifo(path)  # whoever opened that would wait for ever
    assert "it is no plain file" in read_kept(path).said
    path.unlink()
    path.write_bytes(b"")
    monkeypatch.setattr("pathlib.Path.replace", refused)
    assert "cannot be set aside (read-only file system)" in read_kept(path).said


def test_what_a_power_cut_left_of_a_write_is_taken_away(path):
    path.write_bytes(KEPT.content())
    for pid in (7, 4711):
        path.with_name(f".settings.json.{pid}").write_bytes(b"{")
    path.with_name(".settings.locked.json.7").write_bytes(b"{")
    assert read_kept(path).kept == KEPT
    names = sorted(each.name for each in path.parent.iterdir())
    assert names == [".settings.locked.json.7", "settings.json"]


def refused(*_):
    raise OSError(30, "Read-only file system")


def test_a_factory_start_leaves_what_was_set_aside(path):
    assert factory_start(path) == ""
    path.write_bytes(KEPT.content())
    said = factory_start(path)
    assert said == (
        "factory start: what was set before is set aside as settings.before-factory.json"
    )
    assert read_kept(path).kept is None
    assert read_kept(path.with_name("settings.before-factory.json")).kept == KEPT


def test_what_was_set_aside_is_so_after_a_power_cut_too(path, monkeypatch):
    """A new name is on the card once its folder is (fsync(2): a folder's entries are its own)."""
    settled: list[object] = []
    monkeypatch.setattr(settings_file, "settle", settled.append)
    path.write_bytes(KEPT.content())
    factory_start(path)
    assert settled == [path.parent]


def test_any_damage_is_a_sentence_and_a_start(path):
    whole, dice = KEPT.content(), random.Random(15)
    for _ in range(100):
        content = bytearray(whole)
        for _ in range(dice.randrange(1, 6)):
            content[dice.randrange(len(content))] = dice.randrange(256)
        path.write_bytes(
            bytes(content[: dice.randrange(len(content)) if dice.random() < 0.3 else None])
        )
        found = read_kept(path)
        assert (found.kept is None) == ("damaged" in found.said)


def of_number(number):
    """Settings of another shape: the view had another name there."""
    told = json.loads(KEPT.content())
    told["schema"] = number
    told["shown"] = told.pop("view")
    return json.dumps(told).encode()


def one_step(told):
    return {
        **{key: told[key] for key in told if key != "shown"},
        "view": told["shown"],
        "schema": 1,
    }


def test_settings_of_an_older_version_are_taken_over_and_a_copy_is_kept(path, monkeypatch):
    monkeypatch.setattr(document, "MIGRATIONS", (one_step,))
    path.write_bytes(of_number(0))
    found = read_kept(path)
    assert found.kept == KEPT
    assert found.said == (
        "settings of an older version are taken over, and kept as settings.schema-0.json"
    )
    assert path.with_name("settings.schema-0.json").read_bytes() == of_number(0)
    path.write_bytes(found.kept.content())
    assert read_kept(path).said == ""


def test_back_from_a_newer_version_what_was_set_before_it_is_used(path):
    path.write_bytes(of_number(2))
    path.with_name("settings.schema-1.json").write_bytes(KEPT.content())
    found = read_kept(path)
    assert found.kept == KEPT
    assert "of a newer version (2) and is set aside as settings.newer.json; those of before" in (
        found.said
    )
    assert path.with_name("settings.newer.json").read_bytes() == of_number(2)


def test_without_a_copy_of_before_it_starts_as_from_the_factory(path):
    path.write_bytes(of_number(2))
    found = read_kept(path)
    assert found.kept is None
    assert found.said.endswith("midgrey starts as from the factory")
    assert path.with_name("settings.newer.json").exists()


def test_a_copy_that_cannot_be_kept_is_said_and_the_settings_are_used(path, monkeypatch):
    monkeypatch.setattr(document, "MIGRATIONS", (one_step,))
    path.write_bytes(of_number(0))
    monkeypatch.setattr("firmware.kept.settings_file.save", refused)
    found = read_kept(path)
    assert found.kept == KEPT
    assert "the copy of the older settings cannot be written" in found.said
