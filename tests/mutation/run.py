"""A sampled mutation run: how many slips of the hand would the tests see?

    python -m tests.mutation.run [--sample N] [--seed S] [--only PATH ...] [--json FILE]

Draws lines of `overlays` and `firmware` by a seed, mutates each in one place (`mutants.py`) in a
copy of the tree, and runs the tests that are for it: the one that mirrors the module, and if that
sees nothing, those that import it. Prints every mutant with its place and the share that was
killed; ends with 1 where that is below `--least`. On request, not in CI: three hundred take an hour
or so.

Why it is our own. Of the two libraries that are looked after, mutmut (3.8) puts mutants into
functions alone and reaches them through a wrapper, which numba cannot compile and which leaves out
the constants of a module, where many of our mistakes would be; and cosmic-ray (8.7) knows one
command for all mutants, so that each would take the whole suite. Neither draws a sample by a seed,
and neither knows that numba keeps a kernel compiled although another module that it is made of has
changed: such kernels are forgotten here before a mutant is tried (`kernels_of`).

Left out is what has no right and wrong: what the bench's invented room looks like.
"""

import argparse
import ast
import compileall
import contextlib
import importlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

# Before colour-science, which puts a mock in the place of a missing scipy.
import numba
import pytest

from tests.mutation.mutants import Mutant, lines_with, mutants

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("overlays", "firmware")
NEEDED = (*PACKAGES, "tests", "systemd", "hardware", "pyproject.toml", "README.md", "DEVELOPERS.md")
NO_RIGHT = ("bench_canvas.py", "bench_desk.py", "bench_room.py")
NOT_FOR_MODULES = ("tests/bench", "tests/appliance", "tests/mutation")
LOADED = ("numpy", "pygame", "av", "pydantic", "colour", "rich.table")
"""What is not ours and slow to load: loaded once, before the runs of tests part from this one. Not
hypothesis: pytest wants to see its plugins loaded."""

SLOW_S = 240.0
"""A run of up to ten test files that takes longer has lost its way."""

LEAST_PERCENT = 92.0


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


class Tree:
    """Which modules and tests there are, and who imports whom; paths within `root`."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.modules = [
            path.relative_to(root)
            for package in PACKAGES
            for path in sorted((root / package).rglob("*.py"))
            if path.name != "__init__.py"
        ]
        self._tests = [
            path.relative_to(root)
            for path in sorted((root / "tests").rglob("test_*.py"))
            if not str(path.relative_to(root)).startswith(NOT_FOR_MODULES)
            and len(path.relative_to(root).parts) > 2
        ]
        self._names = {dotted(path): path for path in self.modules}
        self._parsed = {
            path: ast.parse((root / path).read_text()) for path in (*self.modules, *self._tests)
        }
        self._imported = {path: self._imports(path) for path in self._parsed}
        self._kernels = {path: self._compiled(path) for path in self.modules}

    def _imports(self, path: Path) -> dict[str, Path]:
        """The module of ours behind each name that a file imports."""
        found = {}
        for node in ast.walk(self._parsed[path]):
            if isinstance(node, ast.ImportFrom) and node.module:
                for alias in node.names:
                    name = alias.asname or alias.name
                    module = self._names.get(f"{node.module}.{alias.name}")
                    module = module or self._names.get(node.module)
                    if module is not None:
                        found[name] = module
            elif isinstance(node, ast.Import):
                for alias in node.names:
                    if alias.name in self._names:
                        found[alias.asname or alias.name] = self._names[alias.name]
        return found

    def tests_of(self, module: Path) -> tuple[list[Path], list[Path]]:
        """The test that mirrors a module, and the others that import it."""
        mirror = Path("tests") / module.parent / f"test_{module.name}"
        others = [
            test
            for test in self._tests
            if module in self._imported[test].values() and test != mirror
        ]
        return [test for test in self._tests if test == mirror], others

    def kernels_of(self, module: Path) -> set[Path]:
        """Modules whose compiled kernels hold something of a module: its own, and on from there."""
        found, todo = set(), [module]
        while todo:
            here = todo.pop()
            users = {path for path in self.modules if here in self._in_kernels(path)} | {here}
            todo += [path for path in users if path not in found and path != here]
            found |= users
        return {path for path in found if self._kernels[path]}

    def _compiled(self, path: Path) -> list[ast.FunctionDef]:
        return [
            node
            for node in ast.walk(self._parsed[path])
            if isinstance(node, ast.FunctionDef)
            and any("jit" in ast.unparse(d) or "_kernel" in ast.unparse(d) for d in _marks(node))
        ]

    def _in_kernels(self, path: Path) -> set[Path]:
        """Modules of which the kernels of one use a name."""
        imported = self._imported[path]
        return {
            imported[node.id]
            for kernel in self._kernels[path]
            for node in ast.walk(kernel)
            if isinstance(node, ast.Name) and node.id in imported
        }


def _marks(node: ast.FunctionDef) -> list[ast.expr]:
    return node.decorator_list


def dotted(path: Path) -> str:
    """The name a module is imported by."""
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def drawn(tree: Tree, count: int, seed: int, only: list[str]) -> list[tuple[Path, Mutant]]:
    """So many mutants of different lines; the same for the same seed and tree."""
    places = []
    for module in tree.modules:
        if module.name in NO_RIGHT or not _wanted(module, only):
            continue
        for _, found in lines_with(mutants((tree.root / module).read_text())):
            places.append((module, found))
    chance = random.Random(seed)
    chosen = chance.sample(places, min(count, len(places)))
    picked = [(module, chance.choice(found)) for module, found in chosen]
    return sorted(picked, key=lambda each: (each[0], each[1].start))


def _wanted(module: Path, only: list[str]) -> bool:
    return not only or any(str(module).startswith(each.rstrip("/")) for each in only)


class Workbench:
    """A copy of the tree to mutate, with a cache of compiled kernels of its own."""

    def __init__(self, folder: Path) -> None:
        self.root, self._cache = folder / "tree", folder / "kernels"
        self._log = folder / "said.txt"
        self.root.mkdir()
        self._cache.mkdir()
        for name in NEEDED:
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            copy(ROOT / name, self.root / name)
        for left in [*self.root.rglob("__pycache__")]:
            shutil.rmtree(left)
        compileall.compile_dir(self.root, quiet=2)
        scenes = ROOT.parent / "shared"
        if scenes.exists():
            (folder / "shared").symlink_to(scenes.resolve())

    @property
    def said(self) -> str:
        """What the last run of tests printed."""
        return self._log.read_text(errors="replace")

    def passes(self, tests: list[Path], cache: Path | None = None) -> bool | None:
        """Whether the tests pass; None where they take too long."""
        child = os.fork()
        if child == 0:
            self._be_pytest(tests, cache or self._cache)
        end = time.monotonic() + SLOW_S * max(1, len(tests) // 10)
        while time.monotonic() < end:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                return os.waitstatus_to_exitcode(status) == 0
            time.sleep(0.02)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return None

    def _be_pytest(self, tests: list[Path], cache: Path) -> None:
        """Turn this process, which has no module of ours loaded, into a run of tests."""
        status = 3
        try:
            os.setpgid(0, 0)
            said = os.open(self._log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            os.chdir(self.root)
            sys.path[0] = str(self.root)
            for name in [name for name in sys.modules if name.split(".")[0] == "tests"]:
                del sys.modules[name]  # the copy's own are wanted
            # CI: the same examples each time.
            os.environ.update(CI="1", NUMBA_CACHE_DIR=str(cache), PYTHONPATH=str(self.root))
            numba.config.CACHE_DIR = str(cache)
            words = ["-x", "-q", "-p", "no:cacheprovider", *map(str, tests)]
            status = int(pytest.main(words))
        except BaseException:  # noqa: BLE001 - this process ends here, whatever it was
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)

    @contextlib.contextmanager
    def mutated(self, module: Path, mutant: Mutant) -> Iterator[None]:
        """The tree with a mutant in it."""
        path = self.root / module
        kept = path.read_text()
        times = path.stat().st_atime_ns, path.stat().st_mtime_ns
        path.write_text(mutant.applied(kept))
        try:
            yield
        finally:
            path.write_text(kept)
            os.utime(path, ns=times)  # what was compiled of it stays in force

    @contextlib.contextmanager
    def without(self, kernels: set[Path]) -> Iterator[Path]:
        """A cache that has forgotten what was compiled of some modules."""
        if not kernels:
            yield self._cache
            return
        with tempfile.TemporaryDirectory() as folder:
            cache = Path(folder) / "kernels"
            shutil.copytree(self._cache, cache)
            stems = {path.stem for path in kernels}
            for file in [*cache.rglob("*.nb?")]:
                if file.name.split(".")[0] in stems:
                    file.unlink()
            yield cache


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
        sample = drawn(tree, asked.sample, asked.seed, asked.only)
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
        if each.outcome in {"survived", "no test"}:
            print(each)
    if asked.json:
        asked.json.write_text(json.dumps([asdict(each) for each in results], indent=1))
    return int(killed < asked.least)


if __name__ == "__main__":
    sys.exit(main())
