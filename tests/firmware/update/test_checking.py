import json
import os
import subprocess
import sys

import pytest

from firmware.update import checking
from firmware.update.checking import Ended, environ_of, own_check, start_as_user


def told(stops, truth=0.0):
    return json.dumps({"spots": [{"stops": stops, "truth": {"stops": truth}}]}).encode()


def checked(tmp_path, *ends):
    """What the check says, and what it has started."""
    started, left = [], list(ends)

    def start(words, environ, _longest_s):
        started.append((list(words), dict(environ)))
        return left.pop(0) if left else Ended(0, b"", b"")

    return own_check(tmp_path, start), started


def test_a_version_that_reads_its_bench_gets_all_its_kernels(tmp_path):
    said, started = checked(tmp_path, Ended(0, told(0.01), b""), Ended(1, b"", b"no"))
    assert said == ""
    words = [each for each, _ in started]
    assert words[0] == [str(tmp_path / "bin/midgrey"), "read", "bench", "--json"]
    assert words[1][:3] == [str(tmp_path / "bin/python"), "-m", "firmware.live.warm"]
    assert all(each["NUMBA_CACHE_DIR"] == "/var/cache/midgrey/kernels" for _, each in started)


@pytest.mark.parametrize(
    ("ended", "why"),
    [
        (Ended(None, b"", b""), "it reads nothing within 15 minutes here"),
        (Ended(1, b"", b"a\nmidgrey: no numpy\x07\n"), "it does not run here (no numpy?)"),
        (Ended(-11, b"", b""), "it does not run here (it does not say why)"),
        (Ended(0, told(0.2), b""), "it does not read its own bench as it should"),
        (Ended(0, told(None), b""), "it does not read its own bench as it should"),
        (Ended(0, b"{}", b""), "it does not read its own bench as it should"),
        (Ended(0, b"\xff", b""), "it does not read its own bench as it should"),
    ],
)
def test_one_that_does_not_is_said_why(tmp_path, ended, why):
    said, started = checked(tmp_path, ended)
    assert said == why
    assert len(started) == 1


def test_it_is_asked_what_this_very_version_answers():
    """The object of `read` is of the shape that the check looks for."""
    words = [sys.executable, "-m", "firmware", "read", "bench", "--json"]
    ended = start_as_given(words, {**os.environ})
    assert ended.status == 0, ended.err
    assert abs(checking._off(ended.out)) < checking.NEAR_STOPS


def start_as_given(words, environ):
    done = subprocess.run(words, env=environ, capture_output=True, check=False, timeout=200)
    return Ended(done.returncode, done.stdout, done.stderr)


def test_settings_of_the_processor_are_those_of_the_unit(tmp_path):
    file = tmp_path / "environment"
    file.write_text("# x\nNUMBA_CPU_NAME=cortex-a72\nNUMBA_CPU_FEATURES=\nMIDGREY_FEED=bench\n")
    found = environ_of(file)
    assert (found["NUMBA_CPU_NAME"], found["NUMBA_CPU_FEATURES"]) == ("cortex-a72", "")
    assert "MIDGREY_FEED" not in found
    assert "NUMBA_CPU_NAME" not in environ_of(tmp_path / "none")


def test_a_process_is_run_bounded_and_with_its_own_environment_alone(monkeypatch):
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setenv("SECRET", "x")
    ended = start_as_user(["/usr/bin/env"], {"A": "b"}, 20.0)
    assert (ended.status, ended.out) == (0, b"A=b\n")
    assert start_as_user(["/usr/bin/sleep", "60"], {}, 0.2).status is None
