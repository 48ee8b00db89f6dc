"""Everything, one after the other: frame, formats, cold start, soak.

python tests/bench/suite.py [--frames N]
"""

import argparse
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def main() -> None:
    """Run each part as its own process, so that none warms another."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", type=int, default=3600, help="of the soak")
    asked = parser.parse_args()
    parts = (
        ["frame.py"],
        ["formats.py"],
        ["cold.py"],
        ["soak.py", "--frames", str(asked.frames)],
    )
    for part in parts:
        print(f"== {part[0]}", flush=True)
        subprocess.run([sys.executable, str(HERE / part[0]), *part[1:]], check=True)
        print()


if __name__ == "__main__":
    main()
