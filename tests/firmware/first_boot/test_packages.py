"""dpkg is told what to do, heard while it does it, and believed when it fails."""

import pytest

from firmware.errors import FirstBootError
from firmware.first_boot import packages


def fake(tmp_path, body):
    path = tmp_path / "dpkg"
    path.write_text(f"#!/bin/sh\n{body}\n")
    path.chmod(0o755)
    return str(path)


@pytest.fixture
def debs(tmp_path):
    folder = tmp_path / "debs"
    folder.mkdir()
    for name in ("b.deb", "a.deb"):
        (folder / name).touch()
    return folder


def test_all_are_installed_then_what_was_left_is_configured(tmp_path, debs):
    calls = tmp_path / "calls"
    dpkg = fake(tmp_path, f'echo "$DEBIAN_FRONTEND $*" >> {calls}')
    packages.install(debs, lambda _: None, dpkg)
    first, second = calls.read_text().splitlines()
    assert first.split()[0] == "noninteractive"
    assert "--skip-same-version" in first
    assert first.endswith(f"--install {debs}/a.deb {debs}/b.deb")
    assert second.endswith("--configure --pending")


def test_how_much_is_done_rises_to_nearly_all(tmp_path, debs):
    said = ["processing: install: a", "status: a: half-installed", "processing: install: b"]
    said += ["processing: configure: a", "processing: configure: b"]
    dpkg = fake(tmp_path, "\n".join(f'echo "{line}"' for line in said))
    shares: list[float] = []
    packages.install(debs, shares.append, dpkg)
    assert shares[:4] == [0.0, 0.25, 0.5, 0.75]


def test_more_work_than_was_thought_is_no_more_than_all():
    lines = iter(["processing: configure: a"] * 7)
    assert max(packages.progress(lines, 1)) == 1.0


def test_a_failure_says_what_dpkg_said(tmp_path, debs):
    dpkg = fake(tmp_path, 'echo "dpkg: error processing archive a.deb" >&2; exit 1')
    with pytest.raises(FirstBootError, match="error processing archive"):
        packages.install(debs, lambda _: None, dpkg)


def test_no_packages_are_nothing_to_do(tmp_path):
    packages.install(tmp_path, lambda _: None, "/no/such/program")
