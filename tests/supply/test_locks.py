"""Locks: every version exact and with hashes, of all that there is to depend on."""

import re

import pytest

from tests.places import ROOT
from tests.supply import manifest

LOCKS = ROOT / "systemd" / "locks"
_ENTRY = re.compile(
    r"^([a-z0-9-]+)==(\S+)(?: ; [^\\\n]+)? \\\n((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)",
    re.MULTILINE,
)


def entries(name):
    text = (LOCKS / name).read_text(encoding="utf-8")
    found = list(_ENTRY.finditer(text))
    lines = re.findall(r"^[a-z]", text, re.MULTILINE)
    assert len(found) == len(lines), "an entry without version or hash"
    return found


@pytest.mark.parametrize("name", ["gpio.txt", "type.txt", "build.txt", "everything.txt"])
def test_every_entry_has_a_version_and_hashes(name):
    assert all(entry[3].count("sha256") >= 1 for entry in entries(name))


def test_the_whole_lock_holds_every_dependency():
    assert set(manifest.names()) <= {entry[1] for entry in entries("everything.txt")}


def test_wheels_of_several_machines_are_among_the_hashes():
    # Of a package with compiled parts there is a wheel for each machine and Python.
    for entry in entries("everything.txt"):
        if entry[1] in {"numpy", "llvmlite", "pygame", "pydantic-core"}:
            assert entry[3].count("sha256") > 10, entry[1]


def test_the_installer_installs_nothing_without_hashes():
    text = {}
    for name in ("install.sh", "make-release"):
        text[name] = (ROOT / "systemd" / name).read_text(encoding="utf-8").replace("\\\n", " ")
    # A version is made by make-release; the installer itself calls no pip.
    assert not re.search(r"pip\"? install", text["install.sh"])
    lines = text["make-release"].splitlines()
    assert any(line.startswith("locked=(--require-hashes") for line in lines)
    calls = [line for line in lines if '"${pip[@]}"' in line]
    assert len(calls) == 3
    for call in calls:
        own = "--no-build-isolation" in call and '"$tools/source"' in call
        assert own or '"${locked[@]}"' in call, call
