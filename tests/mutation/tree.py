"""Which modules and tests there are, who imports whom, and what is compiled of what."""

import ast
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

PACKAGES = ("overlays", "firmware")
NOT_FOR_MODULES = ("tests/bench", "tests/appliance", "tests/mutation")
KEPT = Path("tests/golden/test_golden.py")
"""Screens and answers as they are kept: tried where no test of a module's own sees anything."""
TOLD_SLOW = Path(__file__).resolve().parents[2] / ".pytest_cache/v/midgrey/slow"
DEAR_S = 4.0
"""A test file that took so long in the last whole run here is not near to anything but its own."""
EXAMPLES = "tests/test_doctests.py::test_the_examples_of_a_module_hold"
COMMAND_LINE = "tests.running"
"""What tests that start the command import: they reach all of the firmware."""


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
        self._imported: dict[Path, dict[str, Path]] = {}
        self._kernels: dict[Path, list[ast.FunctionDef]] = {}
        self._commanding: set[Path] = set()
        for path in (*self.modules, *self._tests):
            self._read(path)

    def _read(self, path: Path) -> None:
        """Read a file: once, since there are a thousand."""
        imports: list[ast.Import | ast.ImportFrom] = []
        kernels = []
        for node in _statements(ast.parse((self.root / path).read_text())):
            if isinstance(node, ast.Import | ast.ImportFrom):
                imports.append(node)
            elif isinstance(node, ast.FunctionDef) and _is_kernel(node):
                kernels.append(node)
        self._imported[path], self._kernels[path] = self._imports(imports), kernels
        if path in self._tests and any(_starts_commands(node) for node in imports):
            self._commanding.add(path)

    def _imports(self, nodes: list[ast.Import | ast.ImportFrom]) -> dict[str, Path]:
        """The module of ours behind each name that a file imports."""
        found = {}
        for node in nodes:
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

    def tests_of(self, module: Path) -> tuple[list[Path], list[Path], list[Path]]:
        """What mirrors a module, with its examples; tests that import it or mirror who does; all.

        The likeliest to see something come first: those that import it, of these those of its room.
        The whole is what is kept of screens and answers, and for the firmware what starts commands.
        """
        mirror = self._mirror_of(module)
        users = [path for path in self.modules if module in self._imported[path].values()]
        direct = {test for test in self._tests if module in self._imported[test].values()}
        near = direct | {self._mirror_of(user) for user in users}
        likeliest = sorted(
            self._tests, key=lambda test: (test not in direct, test.parent != mirror.parent)
        )
        return (
            [test for test in self._tests if test == mirror] + self._examples_of(module),
            [test for test in likeliest if test in near - {mirror, KEPT}],
            [
                test
                for test in self._tests
                if test == KEPT
                or (test in self._commanding - near - {mirror} and "firmware" in module.parts)
            ],
        )

    def _examples_of(self, module: Path) -> list[Path]:
        """The test that runs the examples in a module's docstrings, where it has any."""
        has_some = ">>> " in (self.root / module).read_text()
        return [Path(f"{EXAMPLES}[{dotted(module)}]")] if has_some else []

    def _mirror_of(self, module: Path) -> Path:
        """Where a module is tested; what an instrument says is tested with the instrument."""
        mirror = Path("tests") / module.parent / f"test_{module.name}"
        if mirror not in self._tests and "instruments" in module.parts:
            return mirror.with_name("test_instrument.py")
        return mirror

    def kernels_of(self, module: Path) -> set[Path]:
        """Modules whose compiled kernels hold something of a module: its own, and on from there."""
        found, todo = set(), [module]
        while todo:
            here = todo.pop()
            users = {path for path in self.modules if here in self._in_kernels(path)} | {here}
            todo += [path for path in users if path not in found and path != here]
            found |= users
        return {path for path in found if self._kernels[path]}

    def _in_kernels(self, path: Path) -> set[Path]:
        """Modules of which the kernels of one use a name."""
        imported = self._imported[path]
        return {
            imported[node.id]
            for kernel in self._kernels[path]
            for node in ast.walk(kernel)
            if isinstance(node, ast.Name) and node.id in imported
        }


def _statements(node: ast.AST) -> Iterator[ast.stmt]:
    """Every statement below a node; nothing that is only an expression is gone through."""
    for name in ("body", "orelse", "finalbody", "handlers", "cases"):
        for child in getattr(node, name, ()):
            if isinstance(child, ast.stmt):
                yield child
            yield from _statements(child)


def _is_kernel(node: ast.FunctionDef) -> bool:
    marks = [ast.unparse(each) for each in node.decorator_list]
    return any("jit" in mark or "_kernel" in mark for mark in marks)


def _starts_commands(node: ast.Import | ast.ImportFrom) -> bool:
    return isinstance(node, ast.ImportFrom) and COMMAND_LINE in {
        node.module,
        f"{node.module}.{node.names[0].name}",
    }


def dotted(path: Path) -> str:
    """The name a module is imported by."""
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def dear_files(told: Path = TOLD_SLOW) -> frozenset[Path]:
    """Test files that took long in the last whole run here (`tests/conftest.py` remembers)."""
    took: Counter[str] = Counter()
    for name, seconds in json.loads(told.read_text() if told.exists() else "{}").items():
        took[name.split("::")[0]] += seconds
    return frozenset(Path(name) for name, seconds in took.items() if seconds >= DEAR_S)
