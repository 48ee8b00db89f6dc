"""Lint, format and types are part of the tests: one command says whether the tree is in order.

They are begun as soon as the run knows that they are wanted (see `conftest.py`) and go on beside
the other tests, on another core: types alone take as long as a thousand of those.
"""

import os
import sys

import pytest

from tests.going_on import GoingOn
from tests.places import ROOT

PLACES = ["overlays", "firmware", "tests"]
CHECKS = {
    "lint": ["ruff", "check", *PLACES],
    "format": ["ruff", "format", "--check", *PLACES],
    # What is kept for the next time is a sixth of it, and a machine that is new has no next time.
    "types": ["tests.types_checked", *(["--cache-dir=/dev/null"] if os.environ.get("CI") else [])],
    "spelling": ["codespell_lib", *PLACES, "hardware", "systemd", "README.md", "DEVELOPERS.md"],
}
GOING_ON = {
    check: GoingOn(check, [sys.executable, "-m", *words], ROOT) for check, words in CHECKS.items()
}


def begin(item):
    """Begin the check that a test will ask for."""
    GOING_ON[item.callspec.params["check"]].begin()


@pytest.mark.parametrize("check", CHECKS)
def test_the_tree_is_in_order(check):
    status, said = GOING_ON[check].ended(within_s=200.0)
    assert status == 0, said[-4000:]
