"""What each compiled loop of the project is made of, and what decides which kinds of it there are.

numba (0.68, core/caching.py) keeps a loop by the content of the file that it stands in, its byte
code and what it closes over. What it takes from other modules, be it a constant or a loop that it
calls, is compiled into it and never looked at again. So a loop is made of its own module, of all
that this imports of the project, and of what those import: more than it takes, and never less.
"""

import ast
import hashlib
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

from hardware.card import release

KEPT = "cache"
"""What a loop is told (`numba.njit`) that is to be kept once it is compiled."""
CALLERS = (
    "overlays",
    "firmware/feeds",
    "firmware/v4l2",
    "firmware/live/kinds.py",
    "firmware/live/preload.py",
    "firmware/live/warm.py",
)
"""Of the project, what brings loops their arguments, or has them made beforehand."""


def loops(repo: Path = release.REPO) -> dict[str, str]:
    """Each module with loops, by its path in the project, and a digest of all that they are of."""
    places = [path for name in release.OURS for path in sorted((repo / name).rglob("*.py"))]
    tree = _Tree(repo)
    return {
        path.relative_to(repo).as_posix(): tree.digest(tree.stood_on(path))
        for path in places
        if _has_loops(path.read_bytes())
    }


def callers(repo: Path = release.REPO) -> str:
    """A digest of all that says which kinds of argument loops are compiled for."""
    found: list[Path] = []
    for name in CALLERS:
        place = repo / name
        found += place.rglob("*.py") if place.is_dir() else [place]
    return _Tree(repo).digest(found)


def stood_on(name: str, repo: Path = release.REPO) -> set[str]:
    """What a module stands on, itself among it; all as paths in the project."""
    return {path.relative_to(repo).as_posix() for path in _Tree(repo).stood_on(repo / name)}


class _Tree:
    """The project as it stands now: each module is looked at once, many stand on the same."""

    def __init__(self, repo: Path) -> None:
        self._repo = repo
        self._imported: dict[Path, set[Path]] = {}
        self._digests: dict[Path, bytes] = {}

    def stood_on(self, path: Path) -> set[Path]:
        found, waiting = set[Path](), [path]
        while waiting:
            each = waiting.pop()
            if each not in found:
                found.add(each)
                if each not in self._imported:
                    self._imported[each] = _imported(each, self._repo)
                waiting += self._imported[each]
        return found

    def digest(self, paths: Iterable[Path]) -> str:
        total = hashlib.sha256()
        for path in sorted(paths):
            if path not in self._digests:
                self._digests[path] = hashlib.sha256(path.read_bytes()).digest()
            total.update(f"{path.relative_to(self._repo).as_posix()}\0".encode())
            total.update(self._digests[path])
        return total.hexdigest()[:16]


@lru_cache(1024)
def _has_loops(content: bytes) -> bool:
    if KEPT.encode() not in content:
        return False
    calls = (node for node in ast.walk(ast.parse(content)) if isinstance(node, ast.Call))
    return any(
        "jit" in ast.unparse(each.func) and any(word.arg == KEPT for word in each.keywords)
        for each in calls
    )


def _imported(path: Path, repo: Path) -> set[Path]:
    """Modules of the project that one imports by name; each package on the way counts too."""
    found = set()
    for name, parts in _named(path.read_bytes()):
        if name.partition(".")[0] not in release.OURS:
            continue
        steps = name.split(".")
        inner = (repo.joinpath(*steps, part) for part in parts)
        whole = (repo.joinpath(*steps[:length]) for length in range(1, len(steps) + 1))
        for place in (*whole, *inner):
            found |= {place.with_suffix(".py"), place / "__init__.py"}
    return {each for each in found if each.is_file()}


@lru_cache(512)
def _named(content: bytes) -> list[tuple[str, tuple[str, ...]]]:
    """What a module imports, each with the names that it takes of it."""
    found: list[tuple[str, tuple[str, ...]]] = []
    for node in ast.walk(ast.parse(content)):
        if isinstance(node, ast.Import):
            found += [(each.name, ()) for each in node.names]
        elif isinstance(node, ast.ImportFrom):
            # The project imports by whole names alone (ruff's TID252).
            assert not node.level, ast.unparse(node)
            found.append((str(node.module), tuple(each.name for each in node.names)))
    return found
