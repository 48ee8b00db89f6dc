"""What goes on beside the tests is begun once, whoever asks for it."""

import os
import signal
import subprocess
import sys
import time

import pytest

from tests.going_on import GoingOn, end_run
from tests.places import ROOT

COUNTED = "import sys; open('count', 'a').write('x'); print('said'); print('so', file=sys.stderr)"


def going_on(tmp_path, words, name="check"):
    return GoingOn(name, [sys.executable, "-c", words], tmp_path, tmp_path / "run")


def test_it_is_begun_once_whoever_of_a_run_begins_it(tmp_path):
    every = [going_on(tmp_path, f"{COUNTED}; sys.exit(3)") for _ in range(4)]
    for one in every:
        one.begin()
    status, said = every[2].ended(20.0)
    assert (status, sorted(said.split())) == (3, ["said", "so"])
    # Nor is it begun by whoever comes to that after another has had what it said.
    every[0].begin()
    assert every[3].ended(20.0) == (status, said)
    assert (tmp_path / "count").read_text() == "x"
    end_run(tmp_path / "run")
    assert not (tmp_path / "run").exists()  # nothing is left of it


def test_two_of_a_run_are_apart(tmp_path):
    one, other = (going_on(tmp_path, f"print({n})", str(n)) for n in (1, 2))
    assert (one.ended(20.0), other.ended(20.0)) == ((0, "1\n"), (0, "2\n"))


def test_what_goes_on_too_long_is_an_error(tmp_path):
    with pytest.raises(TimeoutError, match="goes on after 0 s"):
        going_on(tmp_path, "import time; time.sleep(2)").ended(0.1)


def test_where_its_process_ends_it_goes_on_for_the_others(tmp_path):
    words = f"{COUNTED}; import time; time.sleep(1)"
    began = f"""
import sys, time
from pathlib import Path
from tests.going_on import GoingOn
place = Path({str(tmp_path)!r})
GoingOn("check", [sys.executable, "-c", {words!r}], place, place / "run").begin()
while not (place / "count").exists():
    time.sleep(0.05)
"""
    subprocess.run([sys.executable, "-c", began], cwd=ROOT, check=True, timeout=60)
    assert going_on(tmp_path, words).ended(20.0)[0] == 0
    assert (tmp_path / "count").read_text() == "x"


def test_what_nobody_asked_for_ends_with_the_run(tmp_path):
    words = "import os, time; print(os.getppid(), flush=True); time.sleep(60); open('late', 'w')"
    going_on(tmp_path, words).begin()
    said = tmp_path / "run/check/said"
    until = time.monotonic() + 20.0
    while not (said.exists() and said.read_text().endswith("\n")) and time.monotonic() < until:
        time.sleep(0.05)
    group = int(said.read_text())
    end_run(tmp_path / "run")
    assert os.waitpid(group, 0)[1] == signal.SIGKILL
    assert not (tmp_path / "run").exists()
