"""What a card's root gets, against the installer that does the same on a running board."""

import re
import subprocess
import sys

import pytest

from hardware.card import release, system_files
from hardware.card.boot_lines import Board
from hardware.card.errors import ChoiceError
from tests.places import ROOT

SYSTEMD = ROOT / "systemd"


@pytest.fixture
def root(tmp_path):
    system_files.write(tmp_path, "0.8.0-12345678", Board.PI4)
    return tmp_path


def test_everything_of_the_installers_list_is_there(root):
    listed = system_files.installed_files((SYSTEMD / "install.sh").read_text())
    assert "midgrey.service" in listed
    for source, (target, mode) in {**listed, **system_files.OWN}.items():
        assert (root / target).read_bytes() == (SYSTEMD / source).read_bytes(), source
        assert (root / target).stat().st_mode & 0o777 == mode, source


def test_units_start_as_their_install_sections_say(root):
    units = root / system_files.UNITS
    wants = {path.name: path for path in units.glob("*.wants/*")}
    script = (SYSTEMD / "install.sh").read_text()
    assert set(wants) == {*system_files.enabled_units(script), *system_files.ENABLED}
    assert "midgrey.service" in wants
    for link in wants.values():
        assert f"WantedBy={link.parent.name[:-6]}" in link.read_text().splitlines()


def test_a_unit_that_nothing_starts_is_said(tmp_path):
    system_files.put(tmp_path / system_files.UNITS / "a@.service", b"[Service]\n")
    with pytest.raises(ChoiceError, match="what starts it"):
        system_files.enable(tmp_path, "a@one.service")
    with pytest.raises(ChoiceError, match="enabled"):
        system_files.enabled_units("")


def test_the_guard_is_whole_and_no_key_is_trusted_unless_named(root, tmp_path):
    guard = root / "opt/midgrey/guard"
    done = subprocess.run(
        [sys.executable, "-E", "-S", "-B", "-m", "firmware.update.guard"],
        cwd=guard,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "told start, time or proved" in done.stderr
    assert not (root / "etc/midgrey/allowed_signers").exists()
    other = tmp_path / "other"
    system_files.write(other, "0.8.0-1", Board.PI4, b"keys\n")
    assert (other / "etc/midgrey/allowed_signers").read_bytes() == b"keys\n"


def test_all_that_the_installer_masks_is_masked(root):
    script = (SYSTEMD / "install.sh").read_text()
    trimmed = re.search(r"^trimmed=\(\n(.*?)^\)", script, re.MULTILINE | re.DOTALL)[1].split()
    assert set(trimmed) <= set(system_files.MASKED)
    assert "getty@tty1.service" in system_files.MASKED
    for unit in system_files.MASKED:
        assert (root / system_files.UNITS / unit).readlink().as_posix() == "/dev/null"


def test_the_version_is_the_one_that_is_started(root):
    current = root / "opt/midgrey/current"
    assert current.readlink().as_posix() == "releases/0.8.0-12345678"
    assert (root / "etc/midgrey/pins.toml").readlink().as_posix() == system_files.PINS_ON_BOOT


def test_the_data_partition_is_waited_for(root):
    drop_in = root / system_files.UNITS / "var-lib-midgrey.mount.d/50-card.conf"
    given = re.search(r"^JobTimeoutSec=(\d+)$", drop_in.read_text(), re.MULTILINE)
    usual = re.search(r"^JobTimeoutSec=(\d+)$", (SYSTEMD / "data.mount").read_text(), re.MULTILINE)
    assert int(given[1]) > int(usual[1])


def test_kernels_are_for_a_processor_that_every_board_of_the_name_has():
    assert set(system_files.PROCESSORS) == set(Board)
    assert "cortex-a53" in system_files.environment(Board.ZERO2W)
    assert "NUMBA_CPU_NAME=cortex-a72 NUMBA_CPU_FEATURES=\n" in system_files.environment(Board.PI5)


def test_an_installer_without_its_list_is_said():
    with pytest.raises(ChoiceError, match="no list"):
        system_files.installed_files("#!/bin/bash\n")


def test_the_projects_folder_is_found():
    assert release.REPO == ROOT


TABS = """\
proc            /proc           proc    defaults          0       0
# a remark / b c
PARTUUID=6d696467-01  /boot/firmware  vfat    defaults          0       2
PARTUUID=6d696467-02  /               ext4    defaults,noatime  0       1
"""


def test_a_boot_partition_that_cannot_be_mounted_stops_nothing():
    made = system_files.with_fstab(TABS).splitlines()
    assert made[1] == TABS.splitlines()[1]
    assert made[3] == TABS.splitlines()[3]
    options = made[2].split()[3].split(",")
    assert options[:2] == ["defaults", "nofail"]
    # Presets lie there: it is still mounted before anybody reads them.
    assert "x-systemd.before=midgrey.service" in options
    assert made[2].split()[4:] == ["0", "2"]
    assert system_files.with_fstab("\n".join(made)) == "\n".join(made) + "\n"
