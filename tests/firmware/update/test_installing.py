"""A bundle taken, refused, and cut off at any step: versions are as they were, or whole and new."""

import os
import shutil
import subprocess

import pytest

from firmware.errors import UpdateError
from firmware.update import installing
from firmware.update.choices import Trial, before_start
from firmware.update.installing import MARGIN, take, updating
from firmware.update.slots import carry_out, given_up, note_given_up, standing, versions
from tests.updates import all_of, made_key, made_unit, made_update, refusal


@pytest.fixture(scope="module")
def bundles(tmp_path_factory):
    """Bundles of several versions, and who is trusted."""
    folder = tmp_path_factory.mktemp("bundles")
    key, signers = made_key(folder, "ours")
    other, _ = made_key(folder, "theirs")
    made = {v: made_update(folder, v, key) for v in ("0.1.0", "0.2.0", "0.3.0", "0.2.0-b")}
    (folder / "others").mkdir()
    made["other"] = made_update(folder / "others", "0.2.0", other)
    for name, said in {
        "x86": {"machine": "x86_64"},
        "any": {"machine": "any"},
        "old python": {"python": "3.11"},
        "layout": {"layout": 99},
    }.items():
        (folder / name).mkdir()
        made[name] = made_update(folder / name, "0.2.0", key, **said)
    return made, signers


def unit_of(bundles, tmp_path, *there, **said):
    return made_unit(tmp_path / "unit", *(there or ("0.1.0",)), signers=bundles[1], **said)


def test_a_newer_version_is_whole_and_on_trial(bundles, tmp_path):
    checked = []

    def check(folder):
        checked.append(folder)
        return ""

    unit = unit_of(bundles, tmp_path, check=check)
    assert take(bundles[0]["0.2.0"], unit) == "0.2.0"
    now = standing(unit.places)
    assert (now.current, now.previous, now.trial) == ("0.2.0", "0.1.0", Trial("0.2.0", 0))
    place = unit.places.release("0.2.0")
    assert checked == [place]
    done = subprocess.run([place / "bin/midgrey"], capture_output=True, text=True, check=True)
    assert done.stdout == "0.2.0\n"
    assert list(place.rglob("*.pyc"))


def test_what_python_compiled_names_the_place_that_it_lies_in(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path)
    take(bundles[0]["0.2.0"], unit)
    (compiled,) = unit.places.release("0.2.0").rglob("*.pyc")
    assert str(unit.places.release("0.2.0")).encode() in compiled.read_bytes()
    assert b".0.2.0" not in compiled.read_bytes().replace(b"/0.2.0", b"")


REFUSED = {
    "other": "it is not signed by anyone whom this unit trusts",
    "x86": "it is for x86_64 with Python 3.13, and this unit has aarch64 with 3.13",
    "old python": "it is for aarch64 with Python 3.11",
    "layout": "layout 99, here 1",
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_does_not_fit_is_refused_and_nothing_is_changed(bundles, tmp_path, name):
    unit = unit_of(bundles, tmp_path)
    before = all_of(tmp_path)
    said = refusal(lambda: take(bundles[0][name], unit))
    assert said.startswith(f"{bundles[0][name]}: ")
    assert REFUSED[name] in said
    assert all_of(tmp_path) == before


def test_a_version_for_every_machine_is_taken(bundles, tmp_path):
    assert take(bundles[0]["any"], unit_of(bundles, tmp_path)) == "0.2.0"


def test_an_older_one_is_taken_only_where_that_is_meant(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, "0.3.0")
    before = all_of(tmp_path)
    said = refusal(lambda: take(bundles[0]["0.2.0"], unit))
    assert "0.2.0 is older than 0.3.0, which runs; give --back as well" in said
    assert all_of(tmp_path) == before
    assert take(bundles[0]["0.2.0"], unit, may_be_older=True) == "0.2.0"


def test_another_build_of_the_same_numbers_is_no_older_one(bundles, tmp_path):
    assert take(bundles[0]["0.2.0-b"], unit_of(bundles, tmp_path, "0.2.0")) == "0.2.0-b"


def test_one_that_is_there_is_not_taken_again(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, "0.1.0", "0.2.0")
    before = all_of(tmp_path)
    assert "already: it runs" in refusal(lambda: take(bundles[0]["0.2.0"], unit))
    assert "update --back goes to it" in refusal(lambda: take(bundles[0]["0.1.0"], unit))
    assert all_of(tmp_path) == before


def test_one_too_large_for_the_card_is_refused_before_anything_is_written(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, free=MARGIN)
    before = all_of(tmp_path)
    said = refusal(lambda: take(bundles[0]["0.2.0"], unit))
    assert "it needs 100 MB on the card, and 100 MB are free" in said
    assert all_of(tmp_path) == before


def test_a_card_that_forgets_takes_none(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, forgetful=True)
    assert "read-only" in refusal(lambda: take(bundles[0]["0.2.0"], unit))


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9])
def test_a_flipped_bit_is_refused_and_nothing_is_changed(bundles, tmp_path, share):
    unit = unit_of(bundles, tmp_path)
    before = all_of(tmp_path / "unit")
    content = bytearray(bundles[0]["0.2.0"].read_bytes())
    content[int(len(content) * share)] ^= 4
    flipped = tmp_path / "flipped.update"
    flipped.write_bytes(content)
    said = refusal(lambda: take(flipped, unit))
    assert "not signed" in said or "not what was signed" in said or "no bundle" in said
    assert all_of(tmp_path / "unit") == before


def test_one_that_fails_its_own_check_is_gone_again(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, check=lambda _folder: "it does not run here (no numpy)")
    before = all_of(tmp_path)
    said = refusal(lambda: take(bundles[0]["0.2.0"], unit))
    assert said.endswith("0.2.0 is not taken: it does not run here (no numpy); nothing was changed")
    assert all_of(tmp_path) == before


def test_a_card_that_fails_meanwhile_leaves_nothing(bundles, tmp_path, monkeypatch):
    unit = unit_of(bundles, tmp_path)
    before = all_of(tmp_path)

    def full(*_words):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(installing, "unpack", full)
    said = refusal(lambda: take(bundles[0]["0.2.0"], unit))
    assert "cannot be written to the card (no space left on device)" in said
    assert all_of(tmp_path) == before


class PowerCutError(Exception):
    """The power went."""


CALLS = ("mkdir", "replace", "symlink", "unlink", "sync", "fsync", "utime", "open")


MOMENTS = (*range(1, 46), 10_000)


@pytest.mark.parametrize("moment", MOMENTS)
def test_whenever_the_power_goes_there_is_a_whole_version(bundles, tmp_path, monkeypatch, moment):
    unit = unit_of(bundles, tmp_path)
    left = [moment]
    with monkeypatch.context() as patched:
        for name in CALLS:
            really = getattr(os, name)

            def counted(*words, really=really, **named):
                left[0] -= 1
                if left[0] <= 0:
                    raise PowerCutError
                return really(*words, **named)

            patched.setattr(os, name, counted)
        patched.setattr(shutil, "rmtree", lambda *_words, **_named: None)
        try:
            take(bundles[0]["0.2.0"], unit)
            was_cut = False
        except (PowerCutError, UpdateError):
            was_cut = True
    assert was_cut == (moment < 10_000)
    now = standing(unit.places)
    carry_out(unit.places, now, before_start(now))
    now = standing(unit.places)
    assert now.current in {"0.1.0", "0.2.0"}
    assert now.current == "0.1.0" or now.is_on_trial
    for version in versions(unit.places):
        done = subprocess.run(
            [unit.places.release(version) / "bin/midgrey"], capture_output=True, check=True
        )
        assert done.stdout.decode().strip() == version
    # What was left half done is in nobody's way, and is taken away by the next one.
    assert take(bundles[0]["0.3.0"], unit) == "0.3.0"
    there = {each.name for each in unit.places.releases.iterdir()}
    assert there <= {"0.1.0", "0.2.0", "0.3.0"}


def test_a_version_is_safe_on_the_card_before_anything_leads_to_it(bundles, tmp_path, monkeypatch):
    """Else a power cut may leave the link and not the folder, and the unit starts nothing."""
    unit = unit_of(bundles, tmp_path)
    leads_to = []

    def settled(folder):
        if folder == unit.places.releases and unit.places.release("0.2.0").is_dir():
            leads_to.append(standing(unit.places).current)

    monkeypatch.setattr(installing, "settle", settled)
    take(bundles[0]["0.2.0"], unit)
    assert leads_to == ["0.1.0"]


def test_versions_and_kernels_of_before_go_with_the_next_update(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path, "0.0.8", "0.0.9", "0.1.0")
    for name in ("0.0.8", "0.1.0", "0.2.0", "counting_1234"):
        (unit.kernels / name).mkdir(parents=True)
    take(bundles[0]["0.2.0"], unit)
    assert versions(unit.places) == ["0.0.9", "0.1.0", "0.2.0"]
    assert sorted(each.name for each in unit.kernels.iterdir()) == ["0.1.0", "0.2.0"]


def test_who_asks_for_one_that_was_given_up_gets_it(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path)
    note_given_up(unit.places, "0.2.0", "why")
    take(bundles[0]["0.2.0"], unit)
    assert given_up(unit.places) == {}


def test_one_update_at_a_time(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path)
    with updating(unit.places):
        assert "under way" in refusal(lambda: take(bundles[0]["0.2.0"], unit))
    take(bundles[0]["0.2.0"], unit)


def test_a_machine_that_is_no_unit_is_told_how_to_become_one(bundles, tmp_path):
    unit = unit_of(bundles, tmp_path)
    shutil.rmtree(tmp_path / "unit")
    assert "install.sh makes one" in refusal(lambda: take(bundles[0]["0.2.0"], unit))


def test_versions_are_roots_alone(bundles, tmp_path, monkeypatch):
    unit = unit_of(bundles, tmp_path)

    def refused(*_words, **_named):
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patched:
        patched.setattr(os, "open", refused)
        with pytest.raises(UpdateError, match="run it with sudo"), updating(unit.places):
            pass
