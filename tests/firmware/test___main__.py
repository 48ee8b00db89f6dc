"""The entry point loads what it needs and no more."""

import ast
import os
import subprocess
import sys

import pytest

from firmware.system.start_up import ALGEBRA_THREADS
from tests.places import ROOT
from tests.running import environment

SCRIPT = """
import sys
from firmware.__main__ import main
sys.argv = ["midgrey", "--version"]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
assert not any(name.split(".")[0] in {"rich", "scipy"} for name in sys.modules)
import rich
"""


def test_the_command_line_starts_without_rich_and_scipy_and_gives_them_back():
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("midgrey "), done.stdout


ALONE = """
import os, sys
from firmware.__main__ import main
assert "numpy" not in sys.modules
sys.argv = ["midgrey", "profiles"]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
assert "numpy" in sys.modules
print(len(os.listdir("/proc/self/task")))
"""


@pytest.mark.parametrize(("asked", "threads"), [({}, 1), ({"OPENBLAS_NUM_THREADS": "2"}, 2)])
def test_linear_algebra_has_one_thread_unless_more_are_asked_for(asked, threads):
    """A library that starts one a core takes cores from those that count and draw."""
    around = {k: v for k, v in environment().items() if k not in ALGEBRA_THREADS}
    done = subprocess.run(
        [sys.executable, "-c", ALONE],
        env={**around, **asked},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    most = min(threads, len(os.sched_getaffinity(0)))
    assert int(done.stdout.splitlines()[-1]) == most


def test_nothing_of_ours_needs_scipy():
    """It could not be imported: the entry point keeps it out."""
    for path in [*ROOT.glob("firmware/**/*.py"), *ROOT.glob("overlays/**/*.py")]:
        for node in ast.walk(ast.parse(path.read_text())):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            assert not any(name.split(".")[0] == "scipy" for name in names), path


def closed(*numbers, command=("read", "bench")):
    """A run of the command line with some of its standard streams closed."""
    closing = " ".join(f"{number}>&-" if number else "0<&-" for number in numbers)
    words = " ".join([sys.executable, "-m", "firmware", *command])
    return subprocess.run(
        ["/bin/sh", "-c", f"{words} {closing}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=400,  # kernels may have to be compiled
        check=False,
    )


def test_a_closed_standard_output_is_said():
    done = closed(1)
    assert done.returncode == 2
    assert done.stderr.startswith("midgrey: standard output is closed")
    assert len(done.stderr.splitlines()) == 1


def test_a_closed_standard_output_does_not_take_the_first_file(tmp_path):
    shot = tmp_path / "shot.png"
    shown = ("run", "bench", "--frames", "1", "--screenshot", str(shot))
    done = closed(0, 1, 2, command=shown)
    assert done.returncode == 0
    assert shot.read_bytes().startswith(b"\x89PNG")


def test_closed_input_and_errors_change_nothing():
    done = closed(0, 2)
    assert (done.returncode, "stops" in done.stdout) == (0, True)


SMALL = "bench:size=160x90,cloud=0"


def surrounded(*flags, words=("read", SMALL), redirect="", **environ):
    """A run of the command line with flags of Python's and an environment of its own."""
    kept = {name: value for name, value in environment().items() if name not in environ}
    given = {name: value for name, value in environ.items() if value is not None}
    line = " ".join([sys.executable, *flags, "-m", "firmware", *words, redirect])
    return subprocess.run(
        ["/bin/sh", "-c", line],
        cwd=ROOT,
        env={**kept, **given},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=400,  # kernels may have to be compiled
        check=False,
    )


@pytest.mark.parametrize(
    ("flags", "environ"),
    [
        (("-W", "error"), {}),
        (("-O",), {}),
        ((), {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
        ((), {"TERM": "dumb", "HOME": None, "XDG_CONFIG_HOME": None, "XDG_CACHE_HOME": None}),
    ],
    ids=["warnings are errors", "without asserts", "no language", "no home, dumb terminal"],
)
def test_in_odd_surroundings_it_reads_as_ever(flags, environ):
    done = surrounded(*flags, **environ)
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    assert "st" in done.stdout


@pytest.mark.parametrize(
    ("redirect", "said"),
    [
        ("<&-", ""),
        (">/dev/full", "midgrey: the system refused: no space left on device\n"),
        (">/dev/full 2>/dev/full", ""),
    ],
    ids=["no input", "full output", "nowhere to say it"],
)
def test_streams_that_are_closed_or_full(redirect, said):
    """Where standard error was full too, the status was 1 and not 2."""
    done = surrounded(redirect=redirect)
    assert (done.returncode, done.stderr) == (2 if "full" in redirect else 0, said)


def test_targets_that_are_full_or_read_only(tmp_path):
    """In a name space of mounts of its own: a card without room, and one that cannot be written."""
    full, fixed = tmp_path / "full", tmp_path / "fixed"
    full.mkdir()
    fixed.mkdir()
    mounts = (
        f"mount -t tmpfs -o size=4k none {full} && head -c 4096 /dev/zero > {full}/fill;"
        f" mount -t tmpfs -o ro none {fixed}"
    )
    tried = subprocess.run(
        ["unshare", "-m", "sh", "-c", mounts], capture_output=True, text=True, check=False
    )
    if tried.returncode != 0:
        pytest.skip(f"mounting is not allowed here: {tried.stderr.strip()}")
    words = f"{sys.executable} -m firmware match {SMALL} {SMALL} --at 80,45,8 --cdl"
    for folder, reason in ((full, "no space left on device"), (fixed, "read-only file system")):
        done = subprocess.run(
            ["unshare", "-m", "sh", "-c", f"{mounts}; {words} {folder}/x.cdl"],
            cwd=ROOT,
            env=environment(),
            capture_output=True,
            text=True,
            timeout=400,
            check=False,
        )
        assert done.returncode == 2, done.stderr
        assert f"the correction cannot be written ({reason})" in done.stderr
        assert done.stdout, "the reading itself is not lost"
