"""The guard as systemd runs it: from a copy of its own, by its own script."""

import io
import os
import shutil
import subprocess

import pytest

from firmware.update import guard
from firmware.update.choices import Trial
from firmware.update.guard import PARTS, before_start, main, proved, time_is_up
from firmware.update.slots import given_up, put_on_trial, standing, switch
from tests.places import ROOT
from tests.updates import made_unit, made_version


@pytest.fixture
def unit(tmp_path):
    """One with a version on trial, and the guard beside them."""
    places = made_unit(tmp_path / "unit", "0.1.0").places
    made_version(places.releases, "0.2.0")
    switch(places, "0.2.0")
    for part in PARTS:
        target = places.home / "guard" / part
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / part, target)
    shutil.copy(ROOT / "systemd/guard", places.home / "guard/guard")
    return places


def test_what_is_told_is_open_to_whoever_draws_the_screen(tmp_path):
    """The guard runs as root, the screen as another user."""
    told = tmp_path / "said" / "said"
    before = os.umask(0o022)
    try:
        guard._tell(told, "0.2.0 is given up")
    finally:
        os.umask(before)
    assert told.read_text() == "0.2.0 is given up\n"
    assert [oct(each.stat().st_mode & 0o777) for each in (told.parent, told)] == ["0o755", "0o644"]


def called(places, word, folder):
    """The script, and what it tells systemd."""
    fake = folder / "bin/systemctl"
    fake.parent.mkdir(exist_ok=True)
    fake.write_text(f'#!/bin/sh\necho "$@" >> {folder}/told\n')
    fake.chmod(0o755)
    (folder / "told").write_text("")
    done = subprocess.run(
        ["/bin/sh", str(places.home / "guard/guard"), word],
        env={
            "PATH": f"{fake.parent}:/usr/bin:/bin",
            "MIDGREY_HOME": str(places.home),
            "MIDGREY_TOLD": str(folder / "said/said"),
        },
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return done, (folder / "told").read_text().splitlines()


def test_it_counts_starts_and_goes_back_from_outside_of_every_version(unit, tmp_path):
    (unit.release("0.2.0") / "venv").rename(tmp_path / "no venv any more")
    for number in range(1, 4):
        done, told = called(unit, "start", tmp_path)
        assert (done.returncode, done.stderr) == (0, ""), done.stderr
        assert told == ["--no-block start midgrey-trial.timer"]
        assert standing(unit).trial == Trial("0.2.0", number)
    done, told = called(unit, "start", tmp_path)
    assert done.stderr == (
        "midgrey: 0.2.0 is given up: it did not prove itself in 3 starts; back to 0.1.0\n"
    )
    assert told == ["--no-block stop midgrey-trial.timer"]
    assert standing(unit).current == "0.1.0"
    said = (tmp_path / "said/said").read_text()
    assert said == "0.2.0 is given up: it did not prove itself in 3 starts; back to 0.1.0\n"


def test_without_a_trial_python_is_not_even_started(unit, tmp_path):
    unit.trial.unlink()
    shutil.rmtree(unit.home / "guard/firmware")
    done, told = called(unit, "start", tmp_path)
    assert (done.returncode, done.stderr, told) == (0, "", [])


def test_a_link_to_nothing_is_left_for_the_version_before(unit, tmp_path):
    unit.trial.unlink()
    (unit.release("0.2.0") / "bin/midgrey").unlink()
    done, _ = called(unit, "start", tmp_path)
    assert done.returncode == 0
    assert standing(unit).current == "0.1.0"


def test_when_its_time_is_over_the_other_one_is_started_at_once(unit, tmp_path):
    done, told = called(unit, "time", tmp_path)
    assert done.returncode == 0
    assert told == ["--no-block restart midgrey.service", "--no-block stop midgrey-trial.timer"]
    assert standing(unit).current == "0.1.0"
    done, told = called(unit, "time", tmp_path)
    assert told == ["--no-block stop midgrey-trial.timer"]


def test_a_word_that_is_none_changes_nothing(unit, tmp_path):
    done, _ = called(unit, "nonesuch", tmp_path)
    assert done.returncode == 2
    assert "start, time or proved" in done.stderr
    assert standing(unit).trial == Trial("0.2.0", 0)


def test_the_proof_names_its_version(unit, tmp_path):
    run, said = tmp_path / "run", io.StringIO()
    run.mkdir()
    assert not proved(unit, run, said)
    (run / "proved").write_text("0.1.0\n")
    assert not proved(unit, run, said)
    assert standing(unit).trial is not None
    (run / "proved").write_text("0.2.0\n")
    assert proved(unit, run, said)
    assert said.getvalue() == "midgrey: 0.2.0 stays\n"
    assert standing(unit).trial is None
    assert standing(unit).previous == "0.1.0"


def test_one_that_waits_for_its_feed_is_given_more_time_by_its_own_name_alone(unit, tmp_path):
    run = tmp_path / "run"
    run.mkdir()
    (run / "waits-for-feed").write_text("0.2.0\n")
    assert not time_is_up(unit, run, io.StringIO(), tmp_path / "said")
    (run / "waits-for-feed").write_text("0.1.0\n")
    assert time_is_up(unit, run, io.StringIO(), tmp_path / "said")
    assert "within its time" in given_up(unit)["0.2.0"]


def test_words_lead_to_what_they_say(unit, tmp_path):
    said = tmp_path / "said"
    assert main(["start"], unit, tmp_path, said) == 0
    assert standing(unit).trial == Trial("0.2.0", 1)
    assert main(["proved"], unit, tmp_path) == 0
    assert main(["time"], unit, tmp_path, said) == guard.WENT_BACK
    assert main(["x", "y"], unit, tmp_path) == 2


def test_a_start_is_noted_on_the_card_before_it_happens(unit):
    put_on_trial(unit, Trial("0.2.0", 0))
    before_start(unit, io.StringIO())
    assert unit.trial.read_text() == "0.2.0 1\n"


def test_its_parts_are_all_it_needs_and_stand_on_pythons_own_library(tmp_path):
    for part in PARTS:
        target = tmp_path / part
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / part, target)
    code = (
        "import sys; import firmware.update.guard; "
        "print(*sorted(n for n in sys.modules if n.startswith(('firmware', 'overlays'))))"
    )
    done = subprocess.run(
        ["/usr/bin/python3", "-E", "-s", "-S", "-B", "-c", code],
        cwd=tmp_path,
        env=dict(os.environ),
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    loaded = done.stdout.split()
    named = {
        part.removesuffix("/__init__.py").removesuffix(".py").replace("/", ".") for part in PARTS
    }
    assert set(loaded) == named
