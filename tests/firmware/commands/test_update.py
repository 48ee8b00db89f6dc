import io
import os

import pytest

from firmware.commands import update as command
from firmware.commands.own import UpdateOptions
from firmware.commands.update import this_unit, update
from firmware.errors import ArgumentError
from firmware.update.choices import Trial
from firmware.update.places import Places
from firmware.update.slots import note_given_up, put_on_trial, standing
from tests.updates import all_of, made_key, made_unit, made_update, refusal


@pytest.fixture(scope="module")
def bundles(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bundles")
    key, signers = made_key(folder, "ours")
    made = {v: made_update(folder, v, key) for v in ("0.1.0", "0.2.0")}
    return made, signers


@pytest.fixture
def restarts(monkeypatch):
    """Whether the unit would be restarted, asked by asked."""
    asked = []
    monkeypatch.setattr(command, "_restart", lambda *, later: asked.append(not later))
    return asked


@pytest.fixture
def unit(bundles, tmp_path):
    return made_unit(tmp_path / "unit", "0.1.0", signers=bundles[1])


def said(unit, **options):
    out = io.StringIO()
    update(UpdateOptions(**options), unit, out)
    return out.getvalue()


def test_a_bundle_is_taken_and_started_at_once(bundles, unit, restarts):
    words = said(unit, file=bundles[0]["0.2.0"])
    assert words == (
        "0.2.0 is on trial: once it has measured and shown a picture it stays, else 0.1.0 comes "
        "back by itself\n"
    )
    assert restarts == [True]


def test_later_it_is_started_next_time(bundles, unit, restarts):
    words = said(unit, file=bundles[0]["0.2.0"], later=True)
    assert words.endswith("; it is started next time\n")
    assert restarts == [False]


def test_back_goes_back_and_says_where_to(bundles, unit, restarts):
    said(unit, file=bundles[0]["0.2.0"])
    assert said(unit, back=True) == "Back to 0.1.0.\n"
    assert standing(unit.places).current == "0.1.0"
    before = all_of(unit.places.home)
    assert "no version before" in refusal(lambda: said(unit, back=True))
    assert all_of(unit.places.home) == before
    assert restarts == [True, True]


def test_an_older_file_with_back_is_taken(bundles, tmp_path, restarts):
    unit = made_unit(tmp_path / "other", "0.9.0", signers=bundles[1])
    assert said(unit, file=bundles[0]["0.2.0"], back=True).startswith("0.2.0 is on trial")
    assert restarts == [True]


def test_versions_are_listed_as_they_stand(unit, tmp_path):
    assert said(unit) == said(unit, list=True) == "0.1.0  started\n"
    put_on_trial(unit.places, Trial("0.1.0", 0))
    assert said(unit) == "0.1.0  to be tried next\n"
    put_on_trial(unit.places, Trial("0.1.0", 2))
    note_given_up(unit.places, "0.3.0", "it did not prove itself in 3 starts")
    assert said(unit) == (
        "0.1.0  started, on trial (2 starts)\n"
        "0.3.0  given up: it did not prove itself in 3 starts\n"
    )
    two = made_unit(tmp_path / "two", "0.0.9", "0.1.0", "0.2.0")
    assert said(two).splitlines() == [
        "0.0.9  not used",
        "0.1.0  before it, to go back to",
        "0.2.0  started",
    ]
    assert "this is no unit" in said(made_unit(tmp_path / "none"))


@pytest.mark.parametrize(
    "options",
    [
        {"file": "x", "found": ("y",)},
        {"file": "x", "list": True},
        {"found": ("x",), "back": True},
        {"list": True, "back": True},
    ],
)
def test_two_things_at_once_are_not_guessed_at(unit, options):
    with pytest.raises(ArgumentError, match="exclude each other"):
        said(unit, **options)


@pytest.fixture
def folders(monkeypatch, tmp_path):
    """Where a phone leaves what it brings, and where a unit says what became of it."""
    incoming, told = tmp_path / "incoming", tmp_path / "said"
    incoming.mkdir()
    monkeypatch.setattr(command, "INCOMING", incoming)
    monkeypatch.setattr(command, "SAID", told)
    return incoming, told


def test_what_lies_on_a_card_is_started_next_time_and_left_there(
    bundles, unit, tmp_path, folders, restarts
):
    card = tmp_path / "card"
    card.mkdir()
    (card / "new.update").write_bytes(bundles[0]["0.2.0"].read_bytes())
    words = said(unit, found=(card,))
    assert "0.2.0 is on trial" in words
    assert words.endswith("it is started next time\n")
    assert folders[1].read_text() == words
    assert restarts == [False]
    assert (card / "new.update").exists()
    folders[1].unlink()
    assert said(unit, found=(card,)) == ""
    assert not folders[1].exists()


def test_what_a_phone_brings_is_started_at_once_and_taken_away(bundles, unit, folders, restarts):
    incoming, told = folders
    (incoming / "new.update").write_bytes(bundles[0]["0.2.0"].read_bytes())
    said(unit, found=(incoming,))
    assert restarts == [True]
    assert list(incoming.iterdir()) == []
    (incoming / "new.update").write_bytes(bundles[0]["0.1.0"].read_bytes())
    (incoming / "x").mkdir()
    said(unit, found=(incoming,))
    assert "no newer version" in told.read_text()
    assert [each.name for each in incoming.iterdir()] == ["x"]


def test_one_that_is_refused_is_said_and_keeps_nothing_else_from_going_on(unit, folders):
    incoming, told = folders
    (incoming / "new.update").write_bytes(b"none")
    words = said(unit, found=(incoming,))
    assert "it is no bundle" in words
    assert told.read_text() == words
    assert oct(told.stat().st_mode)[-3:] == "644"
    assert standing(unit.places).current == "0.1.0"


def test_this_machine_is_a_unit_with_its_own_python(tmp_path, monkeypatch):
    found = this_unit(Places(tmp_path))
    assert found.machine == os.uname().machine
    assert found.python.startswith("3.")
    assert found.free_bytes(tmp_path) > 0
    monkeypatch.setenv("MIDGREY_HOME", str(tmp_path / "x"))
    assert this_unit().places.home == tmp_path / "x"


def test_a_card_below_memory_forgets(monkeypatch, tmp_path):
    for kind, is_one in (("overlay", True), ("tmpfs", True), ("ext4", False)):
        fake = tmp_path / "findmnt"
        fake.write_text(f"#!/bin/sh\necho {kind}\n")
        fake.chmod(0o755)
        monkeypatch.setenv("PATH", str(tmp_path))
        assert this_unit(Places(tmp_path)).is_forgetful() is is_one


@pytest.mark.parametrize(
    ("later", "has_systemd", "asked"), [(False, True, 1), (True, True, 0), (False, False, 0)]
)
def test_the_service_is_asked_to_start_again_where_there_is_one(
    monkeypatch, later, has_systemd, asked
):
    told: list[list[str]] = []
    monkeypatch.setattr("subprocess.run", lambda words, **_: told.append(words))
    monkeypatch.setattr("pathlib.Path.is_dir", lambda _: has_systemd)
    command._restart(later=later)
    assert told == [["systemctl", "--no-block", "restart", "midgrey.service"]] * asked
