"""A sampled mutation run: how many slips of the hand would the tests see?

    python -m tests.mutation.run [--sample N] [--seed S] [--only PATH ...] [--json FILE]
    python -m tests.mutation.run --again FILE

Draws lines of `overlays` and `firmware` by a seed, mutates each in one place (`mutants.py`) in a
copy of the tree, and runs the tests that are for it: the one that mirrors the module; if that sees
nothing, those that import the module or mirror one that does; and at last the kept screens and
answers and what starts commands. Prints every mutant with its place and the share that was killed;
ends with 1 where that is below `--least`. On request, not in CI: three hundred take an hour or so.

Why it is our own. Of the two libraries that are looked after, mutmut (3.8) puts mutants into
functions alone and reaches them through a wrapper, which numba cannot compile and which leaves out
the constants of a module, where many of our mistakes would be; and cosmic-ray (8.7) knows one
command for all mutants, so that each would take the whole suite. Neither draws a sample by a seed,
and neither knows that numba keeps a kernel compiled although another module that it is made of has
changed: such kernels are forgotten here before a mutant is tried (`kernels_of`).

Left out is what has no right and wrong: what the bench's invented room looks like.
"""

import argparse
import contextlib
import importlib
import json
import os
import random
import sys
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.mutation.mutants import Mutant, lines_with, mutants
from tests.mutation.tree import Tree
from tests.mutation.workbench import Workbench

NO_RIGHT = tuple(f"firmware/feeds/bench/{name}.py" for name in ("canvas", "desk", "room"))
LOADED = ("numpy", "pygame", "av", "pydantic", "colour", "rich.table")
"""What is not ours and slow to load: loaded once, before the runs of tests part from this one. Not
hypothesis: pytest wants to see its plugins loaded."""

LEAST_PERCENT = 92.0
LEFT = frozenset({"survived", "no test"})


@dataclass(frozen=True, slots=True)
class Tried:
    """A mutant and what came of it: `killed`, `survived`, `timed out` or `no test`."""

    path: str
    line: int
    what: str
    outcome: str
    seconds: float

    def __str__(self) -> str:
        return f"{self.outcome:9s} {self.path}:{self.line}  {self.what}  ({self.seconds:.1f} s)"


def drawn(tree: Tree, count: int, seed: int, only: list[str]) -> list[tuple[Path, Mutant]]:
    """So many mutants of different lines; the same for the same seed and tree."""
    places = []
    for module in tree.modules:
        if str(module) in NO_RIGHT or not _wanted(module, only):
            continue
        for _, found in lines_with(mutants((tree.root / module).read_text())):
            places.append((module, found))
    chance = random.Random(seed)
    chosen = chance.sample(places, min(count, len(places)))
    picked = [(module, chance.choice(found)) for module, found in chosen]
    return sorted(picked, key=lambda each: (each[0], each[1].start))


def survivors(tree: Tree, of: Path) -> list[tuple[Path, Mutant]]:
    """What survived a former run, whose object is read, as far as it is still there."""
    left = {
        (each["path"], each["line"], each["what"])
        for each in json.loads(of.read_text())
        if each["outcome"] in LEFT
    }
    found = []
    for module in tree.modules:
        text = (tree.root / module).read_text()
        if any(path == str(module) for path, _, _ in left):
            found += [
                (module, mutant)
                for mutant in mutants(text)
                if (str(module), mutant.line, mutant.words(text)) in left
            ]
    return found


def _wanted(module: Path, only: list[str]) -> bool:
    return not only or any(str(module).startswith(each.rstrip("/")) for each in only)


def tried(bench: Workbench, tree: Tree, module: Path, mutant: Mutant) -> Tried:
    """What comes of a mutant."""
    began = time.monotonic()
    text = (bench.root / module).read_text()
    outcome = "no test"
    with bench.mutated(module, mutant), bench.without(tree.kernels_of(module)) as cache:
        for tests in tree.tests_of(module):
            if not tests:
                continue
            passed = bench.passes(tests, cache)
            outcome = {True: "survived", False: "killed", None: "timed out"}[passed]
            if outcome != "survived":
                break
    seconds = time.monotonic() - began
    return Tried(str(module), mutant.line, mutant.words(text), outcome, round(seconds, 1))


def share_killed(results: list[Tried]) -> float:
    """Percent; what was not found within the time would have been by a person."""
    seen = sum(each.outcome in {"killed", "timed out"} for each in results)
    return 100.0 * seen / max(len(results), 1)


def main() -> int:
    """Draw, try and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sample", type=int, default=300, help="how many mutants")
    parser.add_argument("--seed", type=int, default=1, help="another seed draws others")
    parser.add_argument("--only", nargs="+", default=[], help="paths, as overlays/draw")
    parser.add_argument("--again", type=Path, help="object of a run: try what survived in it")
    parser.add_argument("--json", type=Path, help="file for a machine to read")
    parser.add_argument("--list", action="store_true", help="print the mutants, try none")
    parser.add_argument("--least", type=float, default=LEAST_PERCENT, help="percent to be killed")
    asked = parser.parse_args()
    os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
    for name in LOADED:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        bench = Workbench(Path(folder))
        tree = Tree(bench.root)
        sample = (
            survivors(tree, asked.again)
            if asked.again
            else drawn(tree, asked.sample, asked.seed, asked.only)
        )
        if asked.list:
            for module, mutant in sample:
                print(f"{module}:{mutant.line}  {mutant.words((bench.root / module).read_text())}")
            return 0
        wanted = sorted({t for module, _ in sample for s in tree.tests_of(module) for t in s})
        if not bench.passes(wanted):
            print(f"{bench.said[-3000:]}\nthe tests fail before anything is mutated")
            return 2
        results = []
        for module, mutant in sample:
            results.append(tried(bench, tree, module, mutant))
            print(results[-1], flush=True)
    killed = share_killed(results)
    print(f"killed {killed:.1f} % of {len(results)} (seed {asked.seed})")
    for each in results:
        if each.outcome in LEFT:
            print(each)
    if asked.json:
        asked.json.write_text(json.dumps([asdict(each) for each in results], indent=1))
    return int(killed < asked.least)


if __name__ == "__main__":
    sys.exit(main())
