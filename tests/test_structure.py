"""The house rules that a machine can check: who imports whom, tests beside modules, sizes."""

import ast
import re
from collections.abc import Iterator
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

import pytest

from tests.places import ROOT

PACKAGES = ("overlays", "firmware")
CEILING_LINES = 300
"""Of a module without the examples in its docstrings: whoever reads it may pass over those."""
CEILING_WITH_EXAMPLES = 360
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


@cache
def parsed(path: Path) -> ast.Module:
    """A file as Python reads it: read once, asked of by many tests."""
    return ast.parse(path.read_text())


@cache
def imported(path: Path, *, inside: bool = True) -> list[tuple[str, str | None]]:
    """(module, name) of every import in a file; without `inside` those made when it is loaded."""
    return list(_imported(path, inside=inside))


def _imported(path: Path, *, inside: bool) -> Iterator[tuple[str, str | None]]:
    for node in _nodes(parsed(path), inside=inside):
        if isinstance(node, ast.Import):
            yield from ((alias.name, None) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            assert node.module is not None
            yield from ((node.module, alias.name) for alias in node.names)


def _nodes(tree: ast.AST, *, inside: bool) -> Iterator[ast.AST]:
    if inside:
        yield from ast.walk(tree)
        return
    for node in ast.iter_child_nodes(tree):
        typing_only = isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) or typing_only:
            continue
        yield node
        yield from _nodes(node, inside=False)


MODULES = modules()
BY_NAME = {dotted(path): path for path in MODULES}
in_overlays = [path for path in MODULES if dotted(path).startswith("overlays")]
in_measure = [path for path in MODULES if dotted(path).startswith("overlays.measure")]


def roots(path: Path) -> set[str]:
    return {module.split(".")[0] for module, _ in imported(path)}


def test_there_is_something_to_check():
    assert len(in_overlays) > 5
    assert len(in_measure) > 2
    assert "firmware.__main__" in BY_NAME


def test_overlays_knows_no_firmware_device_file_or_clock():
    wrong = []
    for path in in_overlays:
        known = roots(path) & ({"firmware"} | DEVICES | FILES | CLOCKS)
        called = {
            node.func.id
            for node in ast.walk(parsed(path))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        wrong += [f"{dotted(path)}: {name}" for name in (*known, *(called & {"open"}))]
    assert wrong == []


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


def at_load(name: str) -> set[tuple[str, str | None]]:
    """Every import that is made when a module is loaded, its own and those of what it loads."""
    seen: set[str] = set()
    found: set[tuple[str, str | None]] = set()
    todo = [name]
    while todo:
        here = todo.pop()
        if here in seen or here not in BY_NAME:
            continue
        seen.add(here)
        for module, imported_name in imported(BY_NAME[here], inside=False):
            found.add(
                (
                    module.split(".")[0] if module.split(".")[0] not in PACKAGES else module,
                    imported_name,
                )
            )
            todo += [module, f"{module}.{imported_name}"]
    return found


@cache
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


WITHOUT_A_SCREEN = [
    *(dotted(p) for p in in_measure),
    *(name for name in BY_NAME if name.startswith("firmware.instruments.")),
    "firmware.commands.once",
    "firmware.commands.run",
    "firmware.live.terminal",
]


def test_a_reading_without_a_screen_never_loads_pygame():
    loading = [
        name for name in WITHOUT_A_SCREEN if "pygame" in {module for module, _ in at_load(name)}
    ]
    assert loading == []


def test_measuring_knows_nothing_of_drawing():
    knowing = [
        name
        for name in map(dotted, in_measure)
        if any(module.startswith("overlays.draw") for module in reached(name))
    ]
    assert knowing == []


def test_only_the_clock_reads_time():
    readers = {dotted(path) for path in MODULES if roots(path) & {"time", "datetime"}}
    assert readers == {"firmware.clock"}


def test_nobody_imports_anothers_privates():
    private = [
        f"{dotted(path)} -> {module}.{name}"
        for path in MODULES
        for module, name in imported(path)
        if module.split(".")[0] in PACKAGES
        and any(
            part.startswith("_") and part != "__init__" for part in f"{module}.{name}".split(".")
        )
    ]
    assert private == []


def test_one_module_says_which_name_was_meant():
    assert {dotted(path) for path in MODULES if "difflib" in roots(path)} == {
        "overlays.signal.names"
    }


ORDER = (
    ("overlays.errors", "overlays.sharing"),
    ("overlays.signal", "overlays.wording"),
    ("overlays.measure.counting",),
    ("overlays.measure.spot",),
    ("overlays.measure.colour", "overlays.measure.range"),
    (
        "overlays.measure.expose",
        "overlays.measure.chips",
        "overlays.measure.pins",
        "overlays.measure.watch",
        "overlays.measure.balance",
        "overlays.measure.chart",
        "overlays.measure.match",
    ),
    ("overlays.measure.feedcheck", "overlays.measure.suspicion"),
    ("overlays.measure.characterise",),
    ("overlays.measure.card",),
    ("overlays.draw.layout",),
    ("overlays.draw.moment", "overlays.draw.picture", "overlays.draw.chart"),
    ("overlays.draw.marks", "overlays.draw.columns"),
    ("overlays.draw.trace", "overlays.draw.rail"),
    ("overlays.draw.chroma",),
    ("overlays.draw",),
    ("firmware.errors", "firmware.clock", "firmware.actions"),
    ("firmware.system", "firmware.v4l2", "firmware.written"),
    ("firmware.feeds", "firmware.profiles", "firmware.update"),
    ("firmware.opening",),
    ("firmware.answers",),
    ("firmware.instruments", "firmware.health", "firmware.controls", "firmware.kept"),
    ("firmware.screen", "firmware.journal", "firmware.rail"),
    ("firmware.kit",),
    ("firmware.page",),
    ("firmware.presets", "firmware.selftest", "firmware.first_boot"),
    ("firmware.live",),
    ("firmware.commands",),
    ("firmware.__main__",),
)
"""Rooms from the ground up: each imports only rooms below it; those of one line none of another."""
FLOOR = {room: floor for floor, rooms in enumerate(ORDER) for room in rooms}


def room_of(name: str) -> str:
    """The room of a module: the longest name of a room that it lies in."""
    found = [room for room in FLOOR if name == room or name.startswith(f"{room}.")]
    assert found, f"{name} lies in no room"
    return max(found, key=len)


def test_rooms_import_only_what_lies_below_them():
    wrong = []
    for name, path in BY_NAME.items():
        if name in PACKAGES or name == "overlays.measure":
            continue
        here = room_of(name)
        for target in targets(path):
            if target in PACKAGES:
                continue
            there = room_of(target)
            if here != there and FLOOR[there] >= FLOOR[here]:
                wrong.append(f"{name} -> {target}")
    assert wrong == []


def test_every_room_is_there_and_says_what_it_is():
    for room in FLOOR:
        assert room in BY_NAME, room
        assert ast.get_docstring(parsed(BY_NAME[room])), room


LOOSE = {"firmware": {"__init__", "__main__", "errors", "clock", "actions"}}
LOOSE["overlays"] = {"__init__", "errors"}
LOOSE["overlays/measure"] = {"__init__"}
LOOSE["overlays/draw"] = {"__init__", "painter", "panels"}


@pytest.mark.parametrize("folder", LOOSE)
def test_nothing_loose_lies_at_a_root(folder):
    assert {path.stem for path in (ROOT / folder).glob("*.py")} == LOOSE[folder]


def instrument_of(name: str) -> str | None:
    parts = name.split(".")
    inside = parts[:2] == ["firmware", "instruments"] and len(parts) > 2
    return parts[2] if inside and (ROOT / "/".join(parts[:3])).is_dir() else None


def test_instruments_never_import_each_other_and_only_the_registry_names_them():
    named = set()
    for name, path in BY_NAME.items():
        for target in targets(path):
            there = instrument_of(target)
            if there is not None and there != instrument_of(name):
                named.add(f"{name} -> {target}")
    assert named == set()


def test_the_registry_has_one_line_for_each_folder():
    folders = {path.name for path in (ROOT / "firmware/instruments").iterdir() if path.is_dir()}
    text = BY_NAME["firmware.instruments.registry"].read_text()
    for folder in folders - {"__pycache__"}:
        assert text.count(f'"firmware.instruments.{folder}"') == 1


def test_a_screen_never_loads_what_the_objects_of_json_are_made_of():
    objects = {each for each in BY_NAME if each.endswith((".object", "_object"))}
    assert len(objects) > 8
    wrong = []
    for name in (n for n in BY_NAME if n.endswith((".instrument", ".appliance"))):
        made = at_load(name)
        loaded = {f"{module}.{part}" for module, part in made} | {module for module, _ in made}
        wrong += [f"{name} -> {each}" for each in loaded & objects]
    assert wrong == []


def test_a_late_import_has_its_reason_beside_it():
    bare = []
    for path in MODULES:
        before = ""
        for line in path.read_text().splitlines():
            if "noqa: PLC0415" in line:
                is_said = re.search(r"PLC0415 \W*\w", line) or before.lstrip().startswith("#")
                if not is_said and "noqa: PLC0415" not in before:
                    bare.append(f"{dotted(path)}: {line}")
            before = line if line.strip() else before
    assert bare == []


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


def is_only_values(path: Path) -> bool:
    """Whether a module is constants, enums and dataclasses without methods: nothing to run."""
    for node in parsed(path).body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.For | ast.While | ast.Try):
            return False
        if isinstance(node, ast.ClassDef):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef | ast.AsyncFunctionDef):
                    return False
    return True


OUTLETS = frozenset({"answer", "object", "report", "lines"})


def test_every_module_that_does_something_has_its_test_file():
    wanting = []
    for path in MODULES:
        if path.name == "__init__.py" or is_only_values(path):
            continue
        inside = path.relative_to(ROOT)
        # What an instrument says of its answer is tested with the instrument, outlet by outlet.
        outlet = instrument_of(dotted(path)) is not None and path.stem in OUTLETS
        name = "instrument.py" if outlet else inside.name
        expected = ROOT / "tests" / inside.parent / f"test_{name}"
        if not expected.is_file():
            wanting.append(f"{inside} has no {expected.relative_to(ROOT)}")
    assert wanting == []


def test_no_module_is_longer_than_the_ceiling():
    lines = {
        str(path.relative_to(ROOT)): len(path.read_text().splitlines())
        for path in MODULES
        if path.name != "__init__.py"
    }
    apart = {name: count - lines_of_examples(ROOT / name) for name, count in lines.items()}
    # A table that is no longer needs to be no exception any more.
    assert {name for name, count in apart.items() if count > CEILING_LINES} == DATA_TABLES
    assert {name for name, count in lines.items() if count > CEILING_WITH_EXAMPLES} == DATA_TABLES


def lines_of_examples(path: Path) -> int:
    """Lines of the sections of examples, with heading and blank lines, in a module's docstrings."""
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef
    texts = [ast.get_docstring(n) for n in ast.walk(parsed(path)) if isinstance(n, kinds)]
    return sum(
        len(found[0].splitlines()) for text in texts if text and (found := EXAMPLES.search(text))
    )


EXAMPLES = re.compile(r"^\nExamples\n-+\n.*?(?=^\n\w+\n-+\n|\Z)", re.MULTILINE | re.DOTALL)


def test_lines_of_examples_are_told_from_the_rest(tmp_path):
    module = tmp_path / "module.py"
    module.write_text(
        '"""A module."""\n\n\ndef one():\n    """What it gives.\n\n    Examples\n    --------\n'
        '    >>> one()\n    1\n\n    Notes\n    -----\n    None.\n    """\n    return 1\n'
    )
    assert lines_of_examples(module) == 5  # the blank line before the heading is one of them


def test_no_function_is_longer_than_the_ceiling():
    long = []
    for path in MODULES:
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                length = body[-1].end_lineno - body[0].lineno + 1 if body else 0
                if length > CEILING_FUNCTION_LINES:
                    long.append(f"{dotted(path)}.{node.name} has {length} lines")
    assert long == []


def test_tests_are_no_package():
    assert list((ROOT / "tests").rglob("__init__.py")) == []


def test_one_class_name_stands_for_one_thing():
    seen: dict[str, list[str]] = {}
    for name, path in BY_NAME.items():
        for node in parsed(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                seen.setdefault(node.name, []).append(name)
    assert {name: where for name, where in seen.items() if len(where) > 1} == {}


PARTS = {
    "firmware/instruments/*": {
        *("instrument", "answer", "report", "lines", "object", "from_codes", "recomputed"),
    },
    "firmware/profiles": {"document", "model", "reader", "shelf"},
    "firmware/presets": {"document", "model", "reader", "shelf"},
    "firmware/kept": {"document"},
    "firmware/commands": {"lineup", "network", "schema"},
    "overlays": {"errors"},
    "firmware": {"errors"},
}
"""The same part of several rooms by agreement: of each instrument, of what is kept as TOML or JSON;
a command's module is called as the command, and each package has one root of its faults."""


def test_one_module_name_stands_for_one_thing():
    seen: dict[str, list[str]] = {}
    for path in MODULES:
        room = str(path.parent.relative_to(ROOT))
        agreed = {name for where, names in PARTS.items() if fnmatch(room, where) for name in names}
        if path.stem not in agreed | {"__init__", "__main__"}:
            seen.setdefault(path.stem, []).append(dotted(path))
    assert {name: where for name, where in seen.items() if len(where) > 1} == {}


def test_no_two_names_of_an_enum_are_one():
    """Python makes the second an alias of the first, and nothing tells them apart any more."""
    enums = [
        node
        for path in MODULES
        for node in parsed(path).body
        if isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(b) for b in node.bases)
    ]
    assert len(enums) > 20
    for node in enums:
        values = [ast.unparse(each.value) for each in node.body if isinstance(each, ast.Assign)]
        values = [value for value in values if value != "auto()"]
        assert len(set(values)) == len(values), node.name


MERGE_MARKS = ("<" * 7 + " ", ">" * 7 + " ", "|" * 7 + " ")


def texts():
    """Every file of ours that holds text."""
    loose = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "pyproject.toml")]
    kinds = {".py", ".md", ".toml", ".sh", ".json", ".csv", ".service", ".txt"}
    for folder in ("firmware", "overlays", "systemd", "hardware", "tests"):
        loose += [path for path in (ROOT / folder).rglob("*") if path.suffix in kinds]
    return loose


def test_no_marks_of_a_merge_are_left():
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in texts()
        for number, line in enumerate(path.read_text("utf-8", "replace").splitlines(), 1)
        if line.startswith(MERGE_MARKS)
    ]
    assert found == []
