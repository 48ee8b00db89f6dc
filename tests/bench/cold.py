"""Cold start: from the start of the process to the first painted measured frame.

    python tests/bench/cold.py [--json] [--rounds N] [--feed FEED]

Kernels are warm in numba's cache after the first, uncounted round. Beside it, in turn, what merely
importing numpy, numba and pygame costs a process of its own.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

from timing import Timing, machine, side_by_side

IMPORTS = "import numpy, numba, pygame"
MIDGREY = "from firmware.__main__ import main; main()"


def first_frame_s(folder: Path, feed: str) -> float:
    """Seconds of one run, as the run itself counts them from the start of its process."""
    stats = folder / "stats.json"
    command = [sys.executable, "-c", MIDGREY, "run", feed, "--frames", "1"]
    command += ["--size", "1280x720", "--stats", str(stats), "--screenshot", str(folder / "s.png")]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return float(json.loads(stats.read_text())["first_frame_s"])


def measure(rounds: int, feed: str) -> dict[str, Timing]:
    """Bare imports, and the first frame, in turn; milliseconds."""
    seen: list[float] = []
    with tempfile.TemporaryDirectory() as folder:

        def bare(_: int) -> None:
            subprocess.run([sys.executable, "-c", IMPORTS], check=True, capture_output=True)

        def first(_: int) -> None:
            seen.append(first_frame_s(Path(folder), feed) * 1000.0)

        times = side_by_side({"imports": bare, "whole run": first}, rounds, warm=1)
    counted = sorted(seen[1:])
    middle = counted[len(counted) // 2]
    return {"imports": times["imports"], "first_frame": Timing(middle, counted[0], counted[-1])}


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--feed", default="bench")
    asked = parser.parse_args()
    times = measure(asked.rounds, asked.feed)
    allowed = 1.2 * times["imports"].median_ms + 1000.0
    if asked.json:
        result = {f"{name}_ms": round(t.median_ms, 1) for name, t in times.items()}
        print(json.dumps({**result, "allowed_ms": round(allowed, 1), "machine": machine()}))
        return
    for name, timing in times.items():
        print(f"{name:12s} {timing}")
    print(f"{'allowed':12s} {allowed:8.1f}  (1.2 times the imports and one second)")


if __name__ == "__main__":
    main()
