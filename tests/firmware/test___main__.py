"""The entry point loads what it needs and no more."""

import ast
import subprocess
import sys

from tests.places import ROOT

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
