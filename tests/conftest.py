"""What several test files share."""

from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared" / "scenes"


@pytest.fixture(scope="session")
def scenes() -> Path:
    """The folder of real pictures with known truth."""
    if not (SHARED / "truth.json").is_file():
        pytest.skip(f"the pictures with known truth are not at {SHARED}")
    return SHARED
