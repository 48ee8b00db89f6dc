"""Lint, format and types are part of the tests: one command says whether the tree is in order."""

import subprocess
import sys

import pytest

from tests.places import ROOT

PLACES = ["overlays", "firmware", "tests"]
CHECKS = {
    "lint": ["ruff", "check", *PLACES],
    "format": ["ruff", "format", "--check", *PLACES],
    "types": ["mypy"],
    "types of the tests": ["mypy", "--config-file", "tests/mypy.ini", "tests"],
    "spelling": ["codespell_lib", *PLACES, "hardware", "systemd", "README.md", "DEVELOPERS.md"],
}


@pytest.mark.parametrize("check", CHECKS)
def test_the_tree_is_in_order(check):
    done = subprocess.run(
        [sys.executable, "-m", *CHECKS[check]],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=200,
    )
    assert done.returncode == 0, f"{done.stdout[-4000:]}{done.stderr[-1000:]}"
