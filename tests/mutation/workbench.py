"""A copy of the tree to mutate, and runs of tests in it, each in a process that parts from this."""

import compileall
import contextlib
import os
import re
import resource
import shutil
import signal
import sys
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path

# Before colour-science, which puts a mock in the place of a missing scipy.
import numba  # noqa: F401
import pytest

from tests.mutation.loaded import Loaded
from tests.mutation.mutants import Mutant
from tests.mutation.tree import PACKAGES, dotted

ROOT = Path(__file__).resolve().parents[2]
NEEDED = (*PACKAGES, "tests", "systemd", "hardware", "pyproject.toml", "README.md", "DEVELOPERS.md")
CPU_S, CPU_FEW_S, CPU_OF_A_FILE_S = 90, 45, 4
"""What a run of tests may take of a core; the whole suite takes two seconds a file. Not of the
clock: on a busy machine that says nothing."""
WAITING_S = 600
"""What may pass on the clock in a single test: it waits for what never comes."""


_BLAMED = re.compile(r"(?:FAILED|ERROR) (tests/.*?)(?: - .*)?$")
LOADED_BEFORE = "ignore::pytest.PytestAssertRewriteWarning"
"""pytest would like to load its plugins itself; their own assertions are not looked at here."""
LOST = (-signal.SIGXCPU, -signal.SIGKILL)
"""How a run of tests ends that takes more."""


class Workbench:
    """A copy of the tree to mutate, with the kernels that are compiled here.

    In a folder that has been one before only what has changed is copied.
    """

    def __init__(self, folder: Path) -> None:
        self.root, self._aside = folder / "tree", folder / "aside"
        self._log = folder / "said.txt"
        self._changed = ""
        self.root.mkdir(exist_ok=True)
        wanted = {path.relative_to(ROOT) for name in NEEDED for path in _files(ROOT / name)}
        for there in {path.relative_to(self.root) for path in _files(self.root)} - wanted:
            (self.root / there).unlink()
        for path in wanted:
            source, copy = ROOT / path, self.root / path
            if not (copy.exists() and copy.stat().st_mtime_ns == source.stat().st_mtime_ns):
                copy.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(source, copy)  # with its time: by that numba knows its kernels
        compileall.compile_dir(self.root, quiet=2)
        self.loaded = Loaded(self.root)
        scenes = ROOT.parent / "shared"
        if scenes.exists() and not (folder / "shared").exists():
            (folder / "shared").symlink_to(scenes.resolve())

    @property
    def said(self) -> str:
        """What the last run of tests printed."""
        return self._log.read_text(errors="replace")

    def blamed(self) -> str:
        """The test in which the last run of tests found something, or a file that did not load."""
        for line in reversed(self.said.splitlines()):
            found = _BLAMED.match(line)
            if found is not None:
                test = found[1]
                return test if test.count("[") == test.count("]") else test.split("::")[0]
        return ""

    def passes(self, tests: Sequence[Path | str], *, few: bool = False) -> bool | None:
        """Whether the tests pass; None where they take too long.

        `few` is a few examples of each property, as every day, in place of all.
        """
        child = os.fork()
        if child == 0:
            self._be_pytest(tests, few)
        _, status = os.waitpid(child, 0)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)  # what it has begun and left
        ended = os.waitstatus_to_exitcode(status)
        return None if ended in LOST else ended == 0

    def _be_pytest(self, tests: Sequence[Path | str], few: bool) -> None:
        """Turn this process, in which nothing of ours has run yet, into a run of tests."""
        status = 3
        try:
            os.setpgid(0, 0)
            limit = (CPU_FEW_S if few else CPU_S) + CPU_OF_A_FILE_S * len(tests)
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
            said = os.open(self._log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            os.chdir(self.root)
            sys.path[0] = str(self.root)
            self.loaded.forget(self._changed)
            for name in [name for name in sys.modules if name.split(".")[0] == "tests"]:
                del sys.modules[name]  # the copy's own are wanted
            # What is compiled of tests and of hypothesis is kept: half of what a short run takes.
            sys.dont_write_bytecode = False
            os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
            # CI: the same examples each time.
            os.environ.update(CI="1", PYTHONPATH=str(self.root))
            words = f"-x -q -p no:cacheprovider --timeout={WAITING_S} -W {LOADED_BEFORE}".split()
            words += ["--hypothesis-profile=day", "--hypothesis-seed=1"] if few else []
            status = int(pytest.main([*words, *map(str, tests)]))
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
        self._changed = dotted(module)
        kept = path.read_text()
        times = path.stat().st_atime_ns, path.stat().st_mtime_ns
        path.write_text(mutant.applied(kept))
        for stale in path.parent.glob(f"__pycache__/{path.stem}.*.pyc"):
            stale.unlink()  # known by the second alone, and two mutants may be made in one
        try:
            yield
        finally:
            self._changed = ""
            path.write_text(kept)
            os.utime(path, ns=times)  # what was compiled of it stays in force

    @contextlib.contextmanager
    def without(self, kernels: set[Path]) -> Iterator[None]:
        """The tree without what was compiled of some modules."""
        self._put_back()
        for path in kernels:
            for file in _compiled(self.root / path):
                kept = self._aside / file.relative_to(self.root)
                kept.parent.mkdir(parents=True, exist_ok=True)
                file.rename(kept)
        try:
            yield
        finally:
            for path in kernels:
                for file in _compiled(self.root / path):
                    file.unlink()
            self._put_back()

    def _put_back(self) -> None:
        for file in [*self._aside.rglob("*.nb?")]:
            file.rename(self.root / file.relative_to(self._aside))


def _compiled(module: Path) -> list[Path]:
    return [*(module.parent / "__pycache__").glob(f"{module.stem}.*.nb?")]


def _files(place: Path) -> list[Path]:
    """A file, or the files below a folder, kernels too; but for what Python leaves there."""
    found = [place] if place.is_file() else [path for path in place.rglob("*") if path.is_file()]
    return [path for path in found if path.suffix != ".pyc"]
