"""The house rules that a machine can check: who imports whom, tests beside modules, sizes."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.places import ROOT

PACKAGES = ("overlays", "firmware")
CEILING_LINES = 300
CEILING_FUNCTION_LINES = 60
"""Statements of a function are meant to stay near 40 lines; this is where the machine objects."""

DATA_TABLES = frozenset({"overlays/signal/published.py"})
"""Tables of published figures, one entry each: splitting them would hide the order."""

DEVICES = frozenset(
    {"av", "gpiozero", "lgpio", "picamera2", "fcntl", "mmap", "socket", "serial", "subprocess"}
)
FILES = frozenset({"pathlib", "os", "io", "shutil", "tempfile", "tomllib", "json"})
CLOCKS = frozenset({"time", "datetime", "threading"})


def modules() -> list[Path]:
    return sorted(
        path
        for package in PACKAGES
        for path in (ROOT / package).rglob("*.py")
        if "__pycache__" not in path.parts
    )


def dotted(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(path: Path) -> Iterator[tuple[str, str | None]]:
    """(module, name) of every import in a file, those inside functions too."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from ((alias.name, None) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            assert node.module is not None
            yield from ((node.module, alias.name) for alias in node.names)


MODULES = modules()
BY_NAME = {dotted(path): path for path in MODULES}
IDS = [str(path.relative_to(ROOT)) for path in MODULES]
in_overlays = [path for path in MODULES if dotted(path).startswith("overlays")]
in_measure = [path for path in MODULES if dotted(path).startswith("overlays.measure")]


def roots(path: Path) -> set[str]:
    return {module.split(".")[0] for module, _ in imported(path)}


def test_there_is_something_to_check():
    assert len(in_overlays) > 5
    assert len(in_measure) > 2
    assert "firmware.cli" in BY_NAME


@pytest.mark.parametrize("path", in_overlays, ids=[str(p.relative_to(ROOT)) for p in in_overlays])
def test_overlays_knows_no_firmware_device_file_or_clock(path):
    assert not roots(path) & ({"firmware"} | DEVICES | FILES | CLOCKS)
    opened = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert "open" not in opened


def reached(name: str) -> set[str]:
    """Every module of ours that importing one brings in, and the roots of all others."""
    seen: set[str] = set()
    todo = [name]
    while todo:
        here = todo.pop()
        if here in seen:
            continue
        seen.add(here)
        if here in BY_NAME:
            todo += list(targets(BY_NAME[here])) + list(roots(BY_NAME[here]) - set(PACKAGES))
    return seen


def targets(path: Path) -> set[str]:
    """Modules of ours that a file imports."""
    found = set()
    for module, name in imported(path):
        whole = f"{module}.{name}" if name else module
        if whole in BY_NAME:
            found.add(whole)
        elif module in BY_NAME:
            found.add(module)
    return found


@pytest.mark.parametrize(
    "name", [dotted(p) for p in in_measure] + ["firmware.commands.read", "firmware.live.terminal"]
)
def test_a_reading_without_a_screen_never_loads_pygame(name):
    assert "pygame" not in reached(name)
    assert not any(module.startswith("overlays.draw") for module in reached(name))


def test_only_the_clock_reads_time():
    readers = {dotted(path) for path in MODULES if roots(path) & {"time", "datetime"}}
    assert readers == {"firmware.clock"}


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_nobody_imports_anothers_privates(path):
    private = [
        f"{module}.{name}"
        for module, name in imported(path)
        if module.split(".")[0] in PACKAGES
        and any(
            part.startswith("_") and part != "__init__" for part in f"{module}.{name}".split(".")
        )
    ]
    assert private == []


ROOMS = ("feeds", "controls", "profiles", "page", "v4l2", "health")
ALLOWED = {
    # A feed may be built on the kernel interface; nothing else crosses between the rooms.
    ("feeds", "v4l2"),
    # The contract of feeds names the signal a profile may override.
    ("profiles", "feeds.base"),
}


def room(name: str) -> str | None:
    parts = name.split(".")
    return parts[1] if parts[0] == "firmware" and len(parts) > 1 and parts[1] in ROOMS else None


def test_the_rooms_of_firmware_do_not_import_each_other():
    crossings = set()
    for name, path in BY_NAME.items():
        for target in targets(path):
            here, there = room(name), room(target)
            if here and there and here != there:
                exact = target.removeprefix("firmware.")
                if (here, there) not in ALLOWED and (here, exact) not in ALLOWED:
                    crossings.add(f"{name} -> {target}")
    assert crossings == set()


def test_there_are_no_import_cycles():
    edges = {name: targets(path) for name, path in BY_NAME.items()}
    done: set[str] = set()

    def walk(name: str, way: tuple[str, ...]) -> None:
        assert name not in way, " -> ".join([*way[way.index(name) :], name])
        if name in done:
            return
        for target in sorted(edges[name]):
            walk(target, (*way, name))
        done.add(name)

    for name in edges:
        walk(name, ())


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_every_module_has_its_test_file(path):
    if path.name == "__init__.py":
        return
    inside = path.relative_to(ROOT)
    expected = ROOT / "tests" / inside.parent / f"test_{inside.name}"
    assert expected.is_file(), f"{inside} has no {expected.relative_to(ROOT)}"


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_no_module_is_longer_than_the_ceiling(path):
    if path.name == "__init__.py":
        return
    lines = len(path.read_text().splitlines())
    if str(path.relative_to(ROOT)) in DATA_TABLES:
        assert lines > CEILING_LINES, "an exception nobody needs any more"
    else:
        assert lines <= CEILING_LINES


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_no_function_is_longer_than_the_ceiling(path):
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            length = body[-1].end_lineno - body[0].lineno + 1 if body else 0
            assert length <= CEILING_FUNCTION_LINES, f"{node.name} has {length} lines"


def test_tests_are_no_package():
    assert list((ROOT / "tests").rglob("__init__.py")) == []
