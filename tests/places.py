"""Where things lie that tests read."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
HANDBOOK = ROOT / "firmware" / "handbook"
"""What README leads on to: a page for each thing that midgrey does."""
REFERENCE = ROOT / "tests" / "reference"
"""Check values, each with its source."""
SCENES = ROOT.parent / "shared" / "scenes"
"""Real pictures with known truth."""
