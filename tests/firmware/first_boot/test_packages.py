"""dpkg is told what to do, heard while it does it, and believed when it fails."""

import os
import shutil
import subprocess
import threading
from pathlib import Path

import pytest

from firmware.errors import FirstBootError
from firmware.first_boot import packages
from tests.hardware.card.made import deb


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
    assert first.endswith(f"--unpack {debs}/a.deb {debs}/b.deb")
    assert second.endswith("--configure --pending")


def test_how_much_is_done_rises_to_nearly_all(tmp_path, debs):
    unpacking = ["processing: install: a", "status: a: half-installed", "processing: install: b"]
    configuring = ["processing: configure: a", "processing: configure: b"]
    body = 'case "$*" in *--unpack*) {} ;; *) {} ;; esac'
    dpkg = fake(
        tmp_path,
        body.format(*("; ".join(f'echo "{e}"' for e in each) for each in (unpacking, configuring))),
    )
    shares: list[float] = []
    packages.install(debs, shares.append, dpkg)
    assert shares == [0.0, 0.25, 0.5, 0.75]


def test_what_is_unpacked_is_not_given_to_dpkg_again(tmp_path, debs):
    for path in debs.iterdir():
        path.unlink()
    names = ("a_1%3a2-3_all", "b_1_arm64", "c_2_arm64", "d_1_all", "e_1_all", "odd")
    for name in names:
        (debs / f"{name}.deb").touch()
    known = tmp_path / "dpkg-query"
    known.write_text(
        "#!/bin/sh\ncat <<END\na 1:2-3 all ok:installed\nb 1 arm64 ok:unpacked\n"
        "c 1 arm64 ok:installed\nd 1 all reinstreq:half-installed\ne  all ok:not-installed\nEND\n"
    )
    known.chmod(0o755)
    calls = tmp_path / "calls"
    shares: list[float] = []
    dpkg = fake(tmp_path, f'echo "$*" >> {calls}; echo "processing: install: c"')
    packages.install(debs, shares.append, dpkg, (str(known),))
    unpack, configure = calls.read_text().splitlines()
    given = [Path(word).name for word in unpack.split() if word.endswith(".deb")]
    assert given == ["c_2_arm64.deb", "d_1_all.deb", "e_1_all.deb", "odd.deb"]
    assert configure.endswith("--configure --pending")
    assert shares[0] == pytest.approx(2 / 12)  # two of six are unpacked, which is half of the work


def test_where_all_is_unpacked_only_configuring_is_left(tmp_path, debs):
    known = tmp_path / "dpkg-query"
    known.write_text("#!/bin/sh\necho a 1 all ok:unpacked; echo b 1 all ok:half-configured\n")
    known.chmod(0o755)
    for path in debs.iterdir():
        path.rename(debs / f"{path.stem}_1_all.deb")
    calls = tmp_path / "calls"
    packages.install(debs, lambda _: None, fake(tmp_path, f'echo "$*" >> {calls}'), (str(known),))
    assert calls.read_text().splitlines() == [
        "--status-fd 1 --force-confdef --force-confold --configure --pending"
    ]


def test_where_the_system_cannot_be_asked_dpkg_is_given_all(tmp_path, debs):
    calls = tmp_path / "calls"
    dpkg = fake(tmp_path, f'echo "$*" >> {calls}')
    packages.install(debs, lambda _: None, dpkg, (str(tmp_path / "absent"),))
    assert calls.read_text().splitlines()[0].count(".deb") == 2


def test_what_a_long_script_makes_is_kept_while_it_goes_on(tmp_path, debs, monkeypatch):
    kept = tmp_path / "kept"
    monkeypatch.setattr(packages, "_KEPT_EVERY_S", 0.01)
    monkeypatch.setattr(os, "sync", kept.touch)
    dpkg = fake(tmp_path, f"while [ ! -e {kept} ]; do sleep 0.02; done")  # for ever without it
    packages.install(debs, lambda _: None, dpkg)
    assert not [each for each in threading.enumerate() if each.name == "keeping"]


def test_more_work_than_was_thought_is_no_more_than_its_half():
    lines = iter(["processing: configure: a"] * 7)
    assert max(packages.progress(lines, 1)) == 0.5


@pytest.mark.skipif(
    shutil.which("dpkg-deb") is None or os.geteuid() != 0, reason="as root, where there is dpkg"
)
def test_what_power_cut_off_after_unpacking_is_gone_on_with(tmp_path):
    # As seen on an emulated board: the packages that others need were unpacked, and nothing more.
    root, folder = tmp_path / "root", tmp_path / "debs"
    folder.mkdir()
    for name in ("var/lib/dpkg/info", "var/lib/dpkg/updates"):
        (root / name).mkdir(parents=True)
    (root / "var/lib/dpkg/status").touch()
    deb(folder, "below", architecture="all")
    deb(folder, "above", architecture="all", depends="below")
    calls = tmp_path / "calls"
    dpkg = fake(tmp_path, f'echo "$*" >> {calls}; exec dpkg --root={root} --log=/dev/null "$@"')
    query = ("dpkg-query", f"--admindir={root}/var/lib/dpkg")
    below = folder / "below_1_all.deb"
    subprocess.run([dpkg, "--unpack", below], check=True, capture_output=True)
    calls.write_text("")
    packages.install(folder, lambda _: None, dpkg, query)
    status = (root / "var/lib/dpkg/status").read_text()
    assert status.count("Status: install ok installed") == 2
    assert calls.read_text().count(".deb") == 1
    packages.install(folder, lambda _: None, dpkg, query)
    assert calls.read_text().count("--unpack") == 1
    packages.install(
        folder, lambda _: None, dpkg, ("false",)
    )  # nothing known: dpkg passes over all


def test_a_failure_says_what_dpkg_said(tmp_path, debs):
    dpkg = fake(tmp_path, 'echo "dpkg: error processing archive a.deb" >&2; exit 1')
    with pytest.raises(FirstBootError, match="error processing archive"):
        packages.install(debs, lambda _: None, dpkg)


def test_no_packages_are_nothing_to_do(tmp_path):
    packages.install(tmp_path, lambda _: None, "/no/such/program")
