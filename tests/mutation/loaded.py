"""What a run of tests finds loaded: all modules but those that a mutant could show in.

Loading what a test file needs takes longer than most tests that find a mutant. So each module of
the copy is loaded once, before the runs of tests part from this process, and who imports whom at
that is noted. A run forgets the mutated module and whoever has imported it, and loads those again.
"""

import builtins
import contextlib
import gc
import importlib
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.mutation.tree import PACKAGES, dotted

NOT_ALONE = ("firmware.__main__",)
"""What starts the program; it has its own order of loading."""
THEIRS = (
    "_hypothesis_pytestplugin",
    "hypothesis.strategies",
    "hypothesis.extra.numpy",
    "pytest_timeout",
    "xdist.plugin",
    "xdist.looponfail",
    "jsonschema",
    "starlette.testclient",
    "uvicorn",
    "websockets",
    "numpy",
    "pygame",
    "av",
    "pydantic",
    "colour",
    "rich.table",
    "typer",
)
"""What is not ours and slow to load."""


class Loaded:
    """The modules of a copy of the tree, loaded; who has imported whom.

    Parameters
    ----------
    root:
        The copy.
    """

    def __init__(self, root: Path) -> None:
        self.importers: dict[str, set[str]] = {}
        for name in THEIRS:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        sys.path.insert(0, str(root))
        try:
            with self._noting():
                for package in PACKAGES:
                    for path in sorted((root / package).rglob("*.py")):
                        name = dotted(path.relative_to(root))
                        if name not in NOT_ALONE:
                            with contextlib.suppress(ImportError):
                                importlib.import_module(name)
        finally:
            sys.path.remove(str(root))
        gc.collect()
        gc.freeze()

    def forget(self, name: str) -> None:
        """Unload a module and whoever has imported it; nothing where it has no name."""
        for each in of_importers(name, self.importers) if name else ():
            module = sys.modules.pop(each, None)
            parent, _, last = each.rpartition(".")
            held = sys.modules.get(parent)
            if module is not None and getattr(held, last, None) is module:
                delattr(held, last)  # or `from parent import last` would find it there

    @contextlib.contextmanager
    def _noting(self) -> Iterator[None]:
        """Note who imports whom while this lasts."""
        real = builtins.__import__

        def noting(
            name: str,
            globals: Mapping[str, Any] | None = None,  # noqa: A002 - as Python calls it
            locals: Mapping[str, Any] | None = None,  # noqa: A002
            fromlist: tuple[str, ...] | None = (),
            level: int = 0,
        ) -> Any:
            found = real(name, globals, locals, fromlist or (), level)
            who = str((globals or {}).get("__name__", ""))
            if name.split(".", maxsplit=1)[0] in PACKAGES:
                for whom in (name, *(f"{name}.{each}" for each in fromlist or ())):
                    self.importers.setdefault(whom, set()).add(who)
            return found

        builtins.__import__ = noting  # type: ignore[assignment]
        try:
            yield
        finally:
            builtins.__import__ = real


def of_importers(name: str, importers: Mapping[str, set[str]]) -> set[str]:
    """A module and all that have imported it, themselves or by another."""
    found, todo = {name}, [name]
    while todo:
        more = importers.get(todo.pop(), set()) - found
        found |= more
        todo += more
    return found
