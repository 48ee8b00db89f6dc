"""The manifest says what is installed, and names what has conditions."""

import re
from importlib import metadata

import pytest

from tests.supply import manifest

KEPT = manifest.NOTICES.read_text(encoding="utf-8")
ROWS = {
    row[1]: row
    for row in re.finditer(
        r"^\| ([a-z][a-z0-9-]*) \| (\S+) \| (.+?) \| (.+) \|$", KEPT, re.MULTILINE
    )
}


def installed(name):
    return metadata.version(name)


def test_every_dependency_is_listed_and_nothing_else():
    listed = {name for name in ROWS if name != "package"}
    assert listed - {"setuptools"} == set(manifest.names()) - {"setuptools"}


@pytest.mark.parametrize("name", sorted(set(ROWS) - {"package"}))
def test_licences_are_those_the_packages_declare(name):
    if installed(name) != ROWS[name][2]:
        pytest.skip(f"the manifest was made of {name} {ROWS[name][2]}")
    found = manifest.package(name)
    assert ROWS[name][3] == found.licence
    assert all(f"`{each}`" in ROWS[name][4] for each in found.texts)


def test_what_wheels_carry_is_listed():
    for name in manifest.names():
        found = manifest.package(name)
        if found.libraries and name in ROWS and installed(name) == ROWS[name][2]:
            assert f"- **{name} {found.version}**: {', '.join(found.libraries)}" in KEPT


def test_conditions_of_copyleft_are_said():
    conditions = KEPT.partition("## What has conditions")[2].partition("\n## ")[0]
    assert "pygame" in conditions
    assert "LGPL" in conditions
    carried = [each for each in manifest.package("av").libraries if "x26" in each]
    assert not carried or "under the GPL, version 2 or later" in conditions


def test_the_licence_of_ffmpeg_is_its_own_word():
    licence, _ = manifest.ffmpeg()
    assert re.match(r"(L?GPL) version \d", licence)
    if installed("av") == ROWS["av"][2]:
        assert f'"{licence}"' in KEPT
