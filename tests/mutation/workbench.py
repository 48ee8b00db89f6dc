"""A copy of the tree to mutate, and runs of tests in it, each in a process that parts from this."""

import compileall
import contextlib
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator
from pathlib import Path

# Before colour-science, which puts a mock in the place of a missing scipy.
import numba
import pytest

from tests.mutation.mutants import Mutant
from tests.mutation.tree import PACKAGES

ROOT = Path(__file__).resolve().parents[2]
NEEDED = (*PACKAGES, "tests", "systemd", "hardware", "pyproject.toml", "README.md", "DEVELOPERS.md")
SLOW_S = 240.0
"""A run of up to ten test files that takes longer has lost its way."""


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
            numba.config.CACHE_DIR = str(cache)  # type: ignore[attr-defined]
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
