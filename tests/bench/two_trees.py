"""Two checkouts of midgrey, in turn and in one run: start, memory, a frame, a run in real time.

    python tests/bench/two_trees.py OLD NEW [--pairs N] [--only WORD,...] [--feed FEED] [--json]

Each is a folder, with a ``.venv`` of its own or run by the Python at hand. Every pair runs both,
each first in its turn. What is compared is the ratio within a pair: a machine that is busy is
busy for both. Kernels are warm in numba's cache after one uncounted pair, and Python's own compiled
code lies beside each module, as it does where midgrey is installed, whatever the shell has set.
"""

import argparse
import json
import os
import statistics
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from timing import machine

Figures = dict[str, float]
ONE = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "NUMBA")}


@dataclass(frozen=True)
class Tree:
    """One checkout."""

    folder: Path

    @property
    def start(self) -> str:
        """A program that is its command, as `pyproject.toml` names it."""
        project = tomllib.loads((self.folder / "pyproject.toml").read_text())["project"]
        module, _, name = project["scripts"]["midgrey"].partition(":")
        return f"from {module} import {name}; {name}()"

    def command(self, words: list[str]) -> tuple[Figures, str]:
        """Run the command; what it took, and what it printed."""
        return self.python(["-P", "-c", self.start, *words])

    def python(self, words: list[str]) -> tuple[Figures, str]:
        """Run a program; what it took, and what it printed."""
        where = {"PYTHONPATH": str(self.folder), "SDL_VIDEODRIVER": "dummy", "COLUMNS": "100"}
        own = self.folder / ".venv/bin/python"
        program = str(own) if own.exists() else sys.executable
        with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
            actions = [
                (os.POSIX_SPAWN_DUP2, out.fileno(), 1),
                (os.POSIX_SPAWN_DUP2, err.fileno(), 2),
            ]
            around = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
            before = time.perf_counter()
            pid = os.posix_spawn(
                program, [program, *words], {**around, **where}, file_actions=actions
            )
            _, status, used = os.wait4(pid, 0)
            wall = time.perf_counter() - before
            err.seek(0)
            assert status == 0, f"{self.folder}: {words}\n{err.read()[-2000:]}"
            out.seek(0)
            took = {
                "wall_ms": 1000.0 * wall,
                "cpu_ms": 1000.0 * (used.ru_utime + used.ru_stime),
                "peak_mb": used.ru_maxrss / 1024.0,
            }
            return took, out.read()


def first_frame(feed: str, tree: Tree) -> Figures:
    """To the end of a run of one frame, and the first frame as the run counts it."""
    with tempfile.TemporaryDirectory() as folder:
        stats = Path(folder) / "stats.json"
        words = ["run", feed, "--frames", "1", "--size", "1280x720", "--stats", str(stats)]
        took, _ = tree.command([*words, "--screenshot", str(Path(folder) / "shown.png")])
        took["first_frame_ms"] = 1000.0 * json.loads(stats.read_text())["first_frame_s"]
        return took


def running(_feed: str, tree: Tree) -> Figures:
    """A few seconds of the bench at 1080p60: what a stage takes, and the memory it settles at."""
    with tempfile.TemporaryDirectory() as folder:
        stats = Path(folder) / "stats.json"
        words = ["run", "bench:rate=60,size=1920x1080", "--frames", "240", "--size", "1280x720"]
        took, _ = tree.command([*words, "--stats", str(stats)])
        made = json.loads(stats.read_text())
    stages = {f"{name}_ms": each["p50"] for name, each in made["stages_ms"].items()}
    memory = {"memory_mb": made["memory_mb"]["last_minute"], "peak_mb": took["peak_mb"]}
    return {"cpu_ms": took["cpu_ms"], **memory, **stages}


def frame(_feed: str, tree: Tree) -> Figures:
    """What the tree's own benchmark says of a frame, one core."""
    os.environ.update(ONE)
    _, printed = tree.python([str(tree.folder / "tests/bench/frame.py"), "--json", "--rounds=20"])
    for name in ONE:
        del os.environ[name]
    made = json.loads(printed)
    ours = ("copy_ms", "census_ms", "picture_ms", "trace_ms", "frame_ms", "frame10_ms")
    return {name: made[name] for name in ours}


SCENES: dict[str, Callable[[str, Tree], Figures]] = {
    "first frame": first_frame,
    "help": lambda _feed, tree: tree.command(["--help"])[0],
    "read": lambda feed, tree: tree.command(["read", feed])[0],
    "read --json": lambda feed, tree: tree.command(["read", feed, "--json"])[0],
    "running": running,
    "frame": frame,
}


@dataclass
class Pairs:
    """Figures of both, pair by pair."""

    old: list[Figures] = field(default_factory=list)
    new: list[Figures] = field(default_factory=list)

    def rows(self) -> dict[str, dict[str, float]]:
        """Medians, and of the ratios within pairs the median and the middle half."""
        out = {}
        for name in self.old[0]:
            both = [(a[name], b[name]) for a, b in zip(self.old, self.new, strict=True)]
            ratios = [new / old for old, new in both if old > 0.0]
            if not ratios:
                continue
            low, middle, high = _quartiles(ratios)
            old, new = (statistics.median(each) for each in zip(*both, strict=True))
            row = {"old": old, "new": new, "ratio": middle, "low": low, "high": high}
            out[name] = {key: round(value, 4) for key, value in row.items()}
        return out


def _quartiles(values: list[float]) -> tuple[float, float, float]:
    if len(values) < 2:
        return values[0], values[0], values[0]
    low, middle, high = statistics.quantiles(values, n=4, method="inclusive")
    return low, middle, high


def compare(old: Tree, new: Tree, scene: Callable[[Tree], Figures], pairs: int) -> Pairs:
    """Both in turn; the first pair is not counted."""
    found = Pairs()
    for turn in range(pairs + 1):
        order = [(old, found.old), (new, found.new)]
        for tree, kept in order if turn % 2 else reversed(order):
            figures = scene(tree)
            if turn:
                kept.append(figures)
    return found


def main() -> None:
    """Time and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("old", type=Path)
    parser.add_argument("new", type=Path)
    parser.add_argument("--pairs", type=int, default=10)
    parser.add_argument("--only", default=",".join(SCENES), help="of " + ", ".join(SCENES))
    parser.add_argument("--feed", default="bench", help="of the first frame and of reading")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    if wrong := [name for name in asked.only.split(",") if name not in SCENES]:
        parser.error(f"--only: {wrong[0]!r} is none of {', '.join(SCENES)}")
    old, new = Tree(asked.old.absolute()), Tree(asked.new.absolute())
    out = {}
    for name in asked.only.split(","):
        scene = partial(SCENES[name], asked.feed)
        rows = compare(old, new, scene, asked.pairs).rows()
        out[name] = rows
        if asked.json:
            continue
        print(f"{name}, {asked.pairs} pairs: old, new, new/old (middle half)")
        for what, row in rows.items():
            spread = f"{row['low']:.3f} to {row['high']:.3f}"
            print(
                f"  {what:16s} {row['old']:9.2f} {row['new']:9.2f}  {row['ratio']:.3f} ({spread})"
            )
        sys.stdout.flush()
    if asked.json:
        print(json.dumps({**out, "machine": machine()}))


if __name__ == "__main__":
    main()
