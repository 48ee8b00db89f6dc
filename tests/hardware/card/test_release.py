"""A version for the board: its name, and that its parts are there."""

import subprocess
import sys
import tomllib

import pytest

from firmware.update.manifest import release_of
from firmware.update.places import LAYOUT, RELEASE_FILE
from hardware.card import release, wheels
from hardware.card.errors import ChoiceError
from hardware.card.lock import read_lock
from tests.hardware.card import made
from tests.links import broken
from tests.places import ROOT


@pytest.fixture
def chosen(tmp_path):
    lock = made.wheels(tmp_path / "wheels")
    return wheels.choose(read_lock(lock), tmp_path / "wheels")


def test_its_name_tells_what_is_in_it(chosen):
    name = release.name_of(chosen)
    number, _, mark = name.partition("-")
    assert number == tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]
    assert len(mark) == 8
    assert name == release.name_of(chosen)
    assert name != release.name_of(())


def test_it_is_a_version_that_python_finds(tmp_path, chosen):
    folder = tmp_path / "release"
    release.make(folder, "0.8.0-12345678", chosen)
    told = release_of((folder / RELEASE_FILE).read_bytes(), "x")
    assert (told.version, told.machine, told.python) == ("0.8.0-12345678", "aarch64", "3.13")
    assert told.layout == LAYOUT
    site = folder / release.SITE
    code = "import importlib.metadata as m; print(m.version('midgrey')); "
    code += "print(m.entry_points(group='console_scripts')['midgrey'].value)"
    said = subprocess.run(
        [sys.executable, "-S", "-c", code],
        cwd=site,
        env={"PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert said == [release.number(), "firmware.__main__:main"]
    assert not list(folder.rglob("__pycache__"))
    assert (folder / "bin/midgrey").stat().st_mode & 0o111
    assert (folder / "venv/bin/python").readlink().as_posix() == "/usr/bin/python3"
    assert (folder / "share/hardware/pins.toml").exists()
    pages = list((folder / "share/firmware/handbook").glob("*.md"))
    assert pages
    for page in ("README.md", "hardware/README.md", "systemd/README.md"):
        pages.append(folder / "share" / page)
    assert {str(page): broken(page) for page in pages if broken(page)} == {}
    for name in ("firmware/page/static", "firmware/profiles/presets", "firmware/first_boot/faces"):
        assert any((site / name).iterdir())


def test_it_is_made_of_the_whole_project(tmp_path):
    with pytest.raises(ChoiceError, match="the project's own folder"):
        release.name_of((), tmp_path)
