"""Where things lie that tests read."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
REFERENCE = ROOT / "tests" / "reference"
"""Check values, each with its source."""
SCENES = ROOT.parent / "shared" / "scenes"
"""Real pictures with known truth."""
