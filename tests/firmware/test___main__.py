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
