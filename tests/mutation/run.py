"""A sampled mutation run: how many slips of the hand would the tests see?

    python -m tests.mutation.run [--sample N] [--seed S] [--only PATH ...] [--json FILE]
                                 [--minutes M] [--near [N]] [--retry] [--last PATH ...]
    python -m tests.mutation.run --again FILE

Draws lines of `overlays` and `firmware` by a seed, mutates each in one place (`mutants.py`) in a
copy of the tree, and runs the tests that are for it: the one that mirrors the module; if that sees
nothing, those that import the module or mirror one that does; and at last the kept screens and
answers and what starts commands. Tests that found something are run without a mutant at the end.
Prints every mutant and the share that was killed; ends with 1 where that is below `--least`. On
request, not in CI.
With `--json FILE` each result is written as it comes, and the same command goes on where it was
ended (or where its `--minutes` were over), as long as the code that is mutated is the same.
`--near` leaves out what takes longest: the kept screens and answers, what starts commands, test
files that took long in the last whole run here, and all but N of those that import a module; of a
property it tries as many examples as every day. What survives is tried with all of those when the
same command is given without it, and once more near where tests were written meanwhile (`--retry`).

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
import hashlib
import json
import os
import random
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from tests.mutation.equivalent import EQUIVALENT
from tests.mutation.mutants import Mutant, lines_with, mutants
from tests.mutation.tree import Tree, dear_files
from tests.mutation.workbench import Workbench

NO_RIGHT = tuple(f"firmware/feeds/bench/{name}.py" for name in ("canvas", "workshop_desk", "room"))
LEAST_PERCENT = 92.0
NEAR = "seen by none near"
"""Survived so far: the whole was not tried yet."""
LEFT = frozenset({"survived", "no test", NEAR})
MOST_NEAR = 6
"""Of the test files that import a module and are not dear, so many of the likeliest are near."""
AT_ONCE = 6
"""Test files that are loaded for one run of tests. A module in wide use has a hundred, of which the
likeliest come first, and loading all of them takes longer than the first few take to run."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A mutant and what came of it: `killed`, `survived`, `timed out`, `no test` or `equivalent`,
    or `seen by none near`, where the whole is still to be tried.

    What is equivalent was judged by hand, with the reason (`equivalent.py`); it counts neither way.
    `at` is module, line and column: of the same words a line may have several. Seconds are those of
    a core; `by` is the test that killed it.
    """

    at: str
    what: str
    outcome: str
    seconds: float
    by: str = ""

    def __str__(self) -> str:
        return f"{self.outcome:9s} {self.at}  {self.what}  ({self.seconds:.1f} s)"


def results_in(lines: list[str]) -> list[Tried]:
    """Results as a notebook keeps them, behind the line that tells their code.

    Raises
    ------
    ValueError
        They are not such, or of before they were kept so.
    """
    try:
        return [Tried(**json.loads(line)) for line in lines[1:]]
    except (TypeError, ValueError):
        raise ValueError("no results as they are kept now: make them anew with --json") from None


def place_of(module: Path, mutant: Mutant) -> str:
    """Where a mutant is, as a result keeps it."""
    return f"{module}:{mutant.line}:{mutant.column}"


def drawn(tree: Tree, count: int, seed: int, only: list[str]) -> list[tuple[Path, Mutant]]:
    """So many mutants of different lines, as drawn; the same for the same seed and tree."""
    places = []
    for module in tree.modules:
        if str(module) in NO_RIGHT or not _wanted(module, only):
            continue
        for _, found in lines_with(mutants((tree.root / module).read_text())):
            places.append((module, found))
    chance = random.Random(seed)
    chosen = chance.sample(places, min(count, len(places)))
    return [(module, chance.choice(found)) for module, found in chosen]


def survivors(tree: Tree, of: list[Tried]) -> list[tuple[Path, Mutant]]:
    """What survived a former run, as far as it is still there."""
    left = {(each.at, each.what) for each in of if each.outcome in LEFT}
    modules = {at.partition(":")[0] for at, _ in left}
    found = []
    for module in tree.modules:
        if str(module) in modules:
            text = (tree.root / module).read_text()
            found += [
                (module, mutant)
                for mutant in mutants(text)
                if (place_of(module, mutant), mutant.words(text)) in left
            ]
    return found


def _wanted(module: Path, only: list[str]) -> bool:
    return not only or str(module).startswith(tuple(only))


def portions(tree: Tree, module: Path, near: int | None) -> Iterator[list[Path]]:
    """The tests that are for a module, a few files at a time, the likeliest first.

    `near` is how many are near beside the one that mirrors it; None are all there are.
    """
    mirror, others, whole = tree.tests_of(module)
    if near is not None:
        dear = dear_files()
        others, whole = [each for each in others if each not in dear][:near], []
    for tests in (mirror, others, whole):
        for begin in range(0, len(tests), AT_ONCE):
            yield tests[begin : begin + AT_ONCE]


def tried(bench: Workbench, tree: Tree, module: Path, mutant: Mutant, near: int | None) -> Tried:
    """What comes of a mutant."""
    began = _core_s()
    text = (bench.root / module).read_text()
    at, what = place_of(module, mutant), mutant.words(text)
    if (str(module), text.splitlines()[mutant.line - 1].strip(), what) in EQUIVALENT:
        return Tried(at, what, "equivalent", 0.0)
    outcome = "no test"
    with bench.without(tree.kernels_of(module)), bench.mutated(module, mutant):
        for tests in portions(tree, module, near):
            is_quick = near is not None and not dear_files() & set(tests)
            passed = bench.passes(tests, few=is_quick)
            outcome = {True: "survived", False: "killed", None: "timed out"}[passed]
            if outcome in {"killed", "timed out"}:
                break
    if near is not None and outcome in LEFT:
        outcome = NEAR
    by = bench.blamed() if outcome == "killed" else ""
    return Tried(at, what, outcome, round(_core_s() - began, 1), by)


def _core_s() -> float:
    """Seconds of a core that the runs of tests took so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def share_killed(results: list[Tried]) -> float:
    """Percent; what was not found within the time would have been by a person."""
    judged = [each for each in results if each.outcome != "equivalent"]
    seen = sum(each.outcome in {"killed", "timed out"} for each in judged)
    return 100.0 * seen / max(len(judged), 1)


class Notebook:
    """Results on a file, a line each, as they come: a run that was ended can go on.

    The first line says of which code they are; of another code none count.
    """

    def __init__(self, file: Path | None, code: str) -> None:
        self._file, self._code = file, code
        self.results: list[Tried] = []
        if file is None:
            return
        if file.exists() and (lines := file.read_text().splitlines())[:1] == [code]:
            self.results = results_in(lines)
        else:
            file.write_text(f"{code}\n")

    def note(self, result: Tried) -> None:
        """Add a result."""
        self.results.append(result)
        if self._file is not None:
            with self._file.open("a") as file:
                file.write(f"{json.dumps(asdict(result))}\n")

    def strike_out(self, bench: Workbench) -> None:
        """Take back what was killed by a test that fails without a mutant, too (a busy machine)."""
        killers = sorted({each.by for each in self.results if each.by})
        if not killers or bench.passes(killers):
            return
        unsound = {test for test in killers if not bench.passes([test])}
        for test in sorted(unsound):
            print(f"{test} fails with nothing mutated; what it killed has to be tried again")
        self.results = [each for each in self.results if each.by not in unsound]
        self._write()

    def reopen(self) -> None:
        """Forget what survived: it is to be tried with the whole, or with tests made since."""
        self.results = [each for each in self.results if each.outcome not in LEFT]
        self._write()

    def has(self, at: str, what: str) -> bool:
        """Whether a mutant was tried."""
        return any((each.at, each.what) == (at, what) for each in self.results)

    def _write(self) -> None:
        if self._file is not None:
            lines = [json.dumps(asdict(each)) for each in self.results]
            self._file.write_text("\n".join([self._code, *lines, ""]))


def code_of(tree: Tree) -> str:
    """What tells the code that is mutated, and how results are written, from any other."""
    whole = hashlib.sha256(" ".join(each.name for each in fields(Tried)).encode())
    for module in tree.modules:
        whole.update(str(module).encode() + (tree.root / module).read_bytes())
    return whole.hexdigest()


def asked_for() -> argparse.Namespace:
    """What the command line says."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--sample", type=int, default=300, help="how many mutants")
    parser.add_argument("--seed", type=int, default=1, help="another seed draws others")
    parser.add_argument("--only", nargs="+", default=[], help="paths, as overlays/draw")
    parser.add_argument("--last", nargs="+", default=[], help="paths that are tried last")
    parser.add_argument("--again", type=Path, help="file of a run: try what survived in it")
    parser.add_argument("--json", type=Path, help="file of results; what stands there is kept")
    parser.add_argument("--bench", type=Path, help="folder to mutate in; kept for the next run")
    parser.add_argument("--minutes", type=float, default=1e9, help="begin no other after so many")
    parser.add_argument(
        "--near", nargs="?", type=int, const=MOST_NEAR, help="few test files beside a module's own"
    )
    parser.add_argument("--retry", action="store_true", help="try again what survived so far")
    parser.add_argument("--list", action="store_true", help="print the mutants, try none")
    parser.add_argument("--least", type=float, default=LEAST_PERCENT, help="percent to be killed")
    asked = parser.parse_args()
    asked.former = []
    if asked.again:
        try:
            asked.former = results_in(asked.again.read_text().splitlines())
        except (OSError, ValueError) as fault:
            parser.error(f"--again {asked.again}: {fault}")
    return asked


def main() -> int:
    """Draw, try and print."""
    asked = asked_for()
    end = time.monotonic() + 60.0 * asked.minutes
    os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
    with contextlib.ExitStack() as around:
        folder = asked.bench or around.enter_context(
            tempfile.TemporaryDirectory(prefix="mutation-")
        )
        Path(folder).mkdir(exist_ok=True)
        bench = Workbench(Path(folder))
        tree = Tree(bench.root)
        if asked.again:
            sample = survivors(tree, asked.former)
        else:
            sample = drawn(tree, asked.sample, asked.seed, asked.only)
        texts = {module: (bench.root / module).read_text() for module, _ in sample}
        if asked.list:
            for module, mutant in sample:
                print(f"{place_of(module, mutant)}  {mutant.words(texts[module])}")
            return 0
        book = Notebook(asked.json, code_of(tree))
        if asked.retry or asked.near is None:
            book.reopen()
        left = [
            (module, mutant)
            for module, mutant in sample
            if not book.has(place_of(module, mutant), mutant.words(texts[module]))
        ]
        left.sort(key=lambda each: str(each[0]).startswith(tuple(asked.last)))
        for module, mutant in left:
            if time.monotonic() > end:
                break
            book.note(tried(bench, tree, module, mutant, asked.near))
            print(book.results[-1], flush=True)
        if left:
            book.strike_out(bench)
    return summed_up(book.results, asked)


def summed_up(results: list[Tried], asked: argparse.Namespace) -> int:
    """Print the share and what survived; 1 where the share is too small."""
    killed = share_killed(results)
    equivalent = sum(each.outcome == "equivalent" for each in results)
    judged = len(results) - equivalent
    print(
        f"killed {killed:.1f} % of {judged} (seed {asked.seed}); {equivalent} more are equivalent"
    )
    for each in results:
        if each.outcome in LEFT:
            print(each)
    return int(killed < asked.least)


if __name__ == "__main__":
    sys.exit(main())
