"""A run in real time without a display: drops, age, processor time, memory.

python tests/bench/soak.py [--json] [--frames N] [--feed FEED] [--size COLUMNSxROWS]
python -m tests.bench.soak --live SECONDS    the live path instead, with all that happens to a cable
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

FEED = "bench:rate=60,size=1920x1080"
SIZE = "1280x720"
"""Of the screen. To compare with 405a108, whose picture had 768x432 on it: --size 768x432."""
MIDGREY = "from firmware.__main__ import main; main()"


def soak(frames: int, feed: str, size: str = SIZE) -> dict[str, object]:
    """The run's own statistics, and what of one core measuring and painting took."""
    with tempfile.TemporaryDirectory() as folder:
        stats = Path(folder) / "stats.json"
        command = [sys.executable, "-c", MIDGREY, "run", feed, "--frames", str(frames)]
        command += ["--size", size, "--stats", str(stats)]
        command += ["--screenshot", str(Path(folder) / "last.png")]
        environment = {**os.environ, "SDL_VIDEODRIVER": "dummy"}
        subprocess.run(command, check=True, capture_output=True, env=environment)
        made: dict[str, object] = json.loads(stats.read_text())
    return {**made, "share_of_core": round(_share(made), 3)}


def _share(made: dict) -> float:
    """Measuring and painting against the wall clock, from the median of each stage."""
    stages, shown, seconds = made["stages_ms"], made["frames"]["shown"], made["seconds"]
    per_frame = sum(stages[name]["p50"] for name in ("census", "paint", "flip"))
    # the spot is read ten times a second, the range four times
    now_and_then = 10.0 * stages["spot"]["p50"] + 4.0 * stages["range"]["p50"]
    return (per_frame * shown / seconds + now_and_then) / 1000.0


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--frames", type=int, default=3600)
    parser.add_argument("--feed", default=FEED)
    parser.add_argument("--size", default=SIZE)
    parser.add_argument("--live", type=float, metavar="SECONDS")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    if asked.live is not None:
        from tests.bench.live_soak import live_soak

        print(json.dumps(live_soak(asked.live, asked.seed), indent=1))
        return
    made = soak(asked.frames, asked.feed, asked.size)
    if asked.json:
        print(json.dumps(made))
        return
    frames, age, memory = made["frames"], made["age_ms"], made["memory_mb"]
    print(f"{asked.feed}, {asked.frames} frames in {made['seconds']} s")
    print(f"dropped {frames['dropped']}, after warm-up {frames['dropped_after_warm_up']}")
    print(f"age at the flip {age['p50']} ms median, {age['p99']} ms at 99 %")
    print(f"measuring and painting {100 * made['share_of_core']:.0f} % of one core")
    print(f"memory {memory['first_minute']} MB first minute, {memory['last_minute']} MB last")


if __name__ == "__main__":
    main()
