"""Lint, format and types are part of the tests: one command says whether the tree is in order.

They are begun as soon as the run knows that they are wanted (see `conftest.py`) and go on beside
the other tests, on another core: types alone take as long as a thousand of those.
"""

import atexit
import os
import subprocess
import sys
from functools import cache

import pytest

from tests.places import ROOT

PLACES = ["overlays", "firmware", "tests"]
CHECKS = {
    "lint": ["ruff", "check", *PLACES],
    "format": ["ruff", "format", "--check", *PLACES],
    # What is kept for the next time is a sixth of it, and a machine that is new has no next time.
    "types": ["mypy", *(["--cache-dir=/dev/null"] if os.environ.get("CI") else [])],
    "spelling": ["codespell_lib", *PLACES, "hardware", "systemd", "README.md", "DEVELOPERS.md"],
}


@cache
def begun(check):
    """A check under way."""
    process = subprocess.Popen(
        [sys.executable, "-m", *CHECKS[check]],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    atexit.register(process.kill)  # where the run ends before it is asked for
    return process


def begin(item):
    """Begin the check that a test will ask for."""
    begun(item.callspec.params["check"])


@pytest.mark.parametrize("check", CHECKS)
def test_the_tree_is_in_order(check):
    said, _ = begun(check).communicate(timeout=200)
    assert begun(check).returncode == 0, said[-4000:]
