"""The units that bring, try and give up versions: their walls, what wakes them, what they may."""

import re
import shutil
import subprocess

import pytest

from firmware.update import places
from firmware.update.guard import PARTS
from tests.places import ROOT
from tests.unit_files import Unit

SERVICE = Unit("midgrey.service")
UPDATE = ROOT / "systemd/update"
SERVICES = sorted(each.name for each in UPDATE.glob("*.service"))
INSTALL = (ROOT / "systemd/install.sh").read_text()

EXPOSURE = {
    "midgrey-trial.service": 1.1,
    "midgrey-proved.service": 1.1,
    "midgrey-update@.service": 1.9,
    "midgrey-stick@.service": 4.8,
}
"""What systemd-analyze security (systemd 252) gives, as systemd/README.md says it."""


@pytest.mark.parametrize("name", SERVICES)
def test_walls_are_as_the_readme_says(name):
    if not shutil.which("systemd-analyze"):
        pytest.skip("systemd-analyze is not there")
    words = ["systemd-analyze", "security", "--offline=true", str(UPDATE / name)]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=60)
    found = re.search(r"exposure level for \S+: (\d+\.\d)", done.stdout)
    assert found, done.stderr
    assert float(found[1]) <= EXPOSURE[name], found[0]
    assert f"{EXPOSURE[name]:g}" in (ROOT / "systemd/README.md").read_text()


@pytest.mark.parametrize("name", SERVICES)
def test_none_of_them_reaches_or_is_reached_by_a_network(name):
    unit = Unit(f"update/{name}")
    assert unit["RestrictAddressFamilies"] == ["AF_UNIX"]
    assert unit["IPAddressDeny"] == ["any"]
    assert unit["NoNewPrivileges"] == ["yes"]
    assert not any(
        re.match(r"[-@:]*[+!]", line)
        for key, lines in unit.items()
        for line in lines
        if key.startswith("Exec")
    )


def test_what_may_be_written_is_named():
    for name in SERVICES:
        unit = Unit(f"update/{name}")
        if "stick" in name:
            continue  # it mounts where others see it, and writes nothing
        assert unit["ProtectSystem"] == ["strict"]
        written = unit["ReadWritePaths"][0].split()
        assert written[0] == str(places.HOME)
        assert all(each.lstrip("-").startswith(("/run/midgrey", "/var/")) for each in written[1:])


def test_a_stick_is_never_written_to_nor_run_from():
    mounts = [
        line for line in Unit("update/midgrey-stick@.service")["ExecStartPre"] if "mount -o" in line
    ]
    assert len(mounts) == 1
    assert "ro,nosuid,nodev,noexec" in mounts[0]


def test_what_wakes_them_is_where_the_program_writes_it():
    assert Unit("update/midgrey-proved.path")["PathExists"] == [
        str(places.RUN_FOLDER / places.PROVED)
    ]
    assert SERVICE["RuntimeDirectory"] == [places.RUN_FOLDER.name]
    incoming = Unit("update/midgrey-incoming.path")
    assert incoming["PathExistsGlob"] == [f"{places.INCOMING}/*{places.ENDING}"]
    escaped = str(places.INCOMING).strip("/").replace("/", "-")
    assert incoming["Unit"] == [f"midgrey-update@{escaped}.service"]
    update = Unit("update/midgrey-update@.service")
    assert update["RuntimeDirectory"] == [places.SAID.parent.name]
    assert update["ExecStart"] == [f"{places.HOME}/current/{places.COMMAND} update --found /%I"]
    assert f"/%I/*{places.ENDING}" in update["ConditionPathExistsGlob"][0]


def test_a_trial_has_as_long_as_a_start():
    timer = Unit("update/midgrey-trial.timer")
    assert timer["OnActiveSec"] == timer["OnUnitActiveSec"] == SERVICE["TimeoutStartSec"]


def test_the_picture_waits_for_none_of_them():
    wanted = {*SERVICE.get("Wants", []), *SERVICE.get("Requires", []), *SERVICE["After"]}
    assert not any("update" in each or "trial" in each for each in wanted)
    assert Unit("update/midgrey-update@.service")["After"] == ["midgrey.service"]


def test_the_guard_is_called_by_its_words_and_installed_whole():
    words = {"start": SERVICE["ExecStartPre"][0]}
    for word in ("time", "proved"):
        name = {"time": "trial"}.get(word, word)
        words[word] = Unit(f"update/midgrey-{name}.service")["ExecStart"][0]
    for word, line in words.items():
        assert line.lstrip("-+") == f"{places.HOME}/guard/guard {word}"
    assert "from firmware.update.guard import PARTS" in INSTALL
    assert all((ROOT / part).is_file() for part in PARTS)


def test_all_of_it_is_installed_and_taken_away_again():
    installed = re.findall(r'^    "update/(\S+) +(\S+) +644"$', INSTALL, re.MULTILINE)
    assert sorted(name for name, _ in installed) == sorted(each.name for each in UPDATE.iterdir())
    assert 'for line in "${files[@]}"' in INSTALL
    for name in ("midgrey-proved.path", "midgrey-incoming.path"):
        assert name in re.search(r"enabled=\((.*?)\)", INSTALL, re.DOTALL)[1]
    assert "midgrey-update@boot-firmware-midgrey.service" in INSTALL


def test_a_launcher_resolves_the_version_it_lies_in(tmp_path):
    version = tmp_path / "releases/1.2.3"
    (version / "bin").mkdir(parents=True)
    (version / "venv/bin").mkdir(parents=True)
    for name in ("midgrey", "python"):
        shutil.copy(ROOT / "systemd/launcher", version / "bin" / name)
        (version / "bin" / name).chmod(0o755)
    fake = version / "venv/bin/python"
    fake.write_text('#!/bin/sh\necho "$0|$MIDGREY_RELEASE|$NUMBA_CACHE_DIR|$*"\n')
    fake.chmod(0o755)
    (tmp_path / "current").symlink_to("releases/1.2.3")
    for name, words in (("midgrey", "-m firmware a b c"), ("python", "a b c")):
        done = subprocess.run(
            [tmp_path / "current/bin" / name, "a", "b c"],
            env={"PATH": "/usr/bin:/bin", "NUMBA_CACHE_DIR": "/k/"},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout == f"{fake}|{version}|/k/1.2.3|{words}\n"
    bare = subprocess.run(
        [version / "bin/midgrey"], env={"PATH": "/usr/bin:/bin"}, capture_output=True, check=True
    )
    assert bare.stdout.decode() == f"{fake}|{version}||-m firmware\n"
