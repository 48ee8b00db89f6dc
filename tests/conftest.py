"""What several test files share."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

from tests.places import SCENES

# No deadline: a property is not a timing, and machines are noisy. A run that decides whether work
# lands tries the same examples each time; at a desk they are new each time.
settings.register_profile("desk", deadline=None)
settings.register_profile("landing", deadline=None, derandomize=True)
settings.load_profile("landing" if os.environ.get("CI") else "desk")

SHARED = SCENES


@pytest.fixture(scope="session")
def scenes() -> Path:
    """The folder of real pictures with known truth."""
    if not (SHARED / "truth.json").is_file():
        pytest.skip(f"the pictures with known truth are not at {SHARED}")
    return SHARED
