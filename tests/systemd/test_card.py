"""The units and scripts of a card's own."""

import getpass
import shutil
import subprocess

import pytest

from firmware.first_boot.__main__ import CARD
from firmware.first_boot.boot_steps import DONE
from tests.places import ROOT

FOLDER = ROOT / "systemd/card"
SCRIPTS = ("log-to-card", "read-only-root")


@pytest.fixture
def card(tmp_path):
    words, log = tmp_path / "last-words", tmp_path / "log"
    words.mkdir()
    log.mkdir()
    tmp_path.chmod(0o755)
    return words, log


def copied(card):
    words, log = card
    command = [FOLDER / "log-to-card", words, log, getpass.getuser()]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_the_newest_last_words_are_copied_whole(card):
    words, log = card
    (words / "20260101T000000Z-exit-code.txt").write_text("older\n")
    (words / "words-000009-20250102T000000Z-signal.txt").write_text("newer\n")
    (words / "words-000010-20250101T000000Z-watchdog.txt").write_text("newest\n")
    assert copied(card).returncode == 0
    assert [path.name for path in log.iterdir()] == ["last-words.txt"]
    assert (log / "last-words.txt").read_text() == "newest\n"


def test_without_words_or_without_a_place_nothing_happens(card):
    words, log = card
    assert copied(card).returncode == 0
    (words / "20260101T000000Z-exit-code.txt").write_text("words\n")
    log.rmdir()
    assert copied(card).returncode == 0
    assert not log.exists()


def test_no_more_is_copied_than_a_person_reads(card):
    words, log = card
    (words / "20260101T000000Z-exit-code.txt").write_text("x" * 1_000_000)
    copied(card)
    assert (log / "last-words.txt").stat().st_size == 65536


def test_it_is_read_as_the_units_own_user():
    text = (FOLDER / "log-to-card").read_text()
    for line in text.splitlines():
        if '"$words' in line and "[ -d" not in line:
            assert "as_midgrey" in line, line


@pytest.mark.parametrize("name", SCRIPTS)
def test_scripts_are_plain_shell(name):
    subprocess.run(["sh", "-n", FOLDER / name], check=True)
    assert (FOLDER / name).stat().st_mode & 0o111


def test_the_first_boot_runs_until_its_mark_is_there():
    unit = (FOLDER / "midgrey-first-boot.service").read_text()
    assert f"ConditionPathExists=!{CARD}/marks/{DONE}" in unit.splitlines()
    assert "Before=midgrey.service" in unit.splitlines()
    # A failed first boot must not keep the unit from starting.
    service = (ROOT / "systemd/midgrey.service").read_text()
    assert "first-boot" not in service


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd-analyze")
def test_what_writes_the_boot_partition_may_do_little_else():
    unit = FOLDER / "midgrey-log.service"
    said = subprocess.run(
        ["systemd-analyze", "security", "--offline=true", unit],
        capture_output=True,
        text=True,
        check=False,
    ).stdout
    level = float(said.strip().splitlines()[-1].split(":")[1].split()[0])
    assert level < 4.0
