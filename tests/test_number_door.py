"""Numbers that somebody else has written come in through one checked door, and no other way."""

import ast
from pathlib import Path

import pytest

from firmware.errors import FirmwareError
from firmware.written.corners import parse_corners, parse_layout
from firmware.written.spot_place import parse_spot
from overlays.errors import OverlayError

ROOT = Path(__file__).resolve().parents[1]
DOOR = "overlays/wording/read_number.py"
TEXT_CALLS = {"read_text", "decode", "group", "strip", "removeprefix", "removesuffix", "partition"}
TEXT_MAKERS = {
    "split",
    "rsplit",
    "partition",
    "rpartition",
    "fullmatch",
    "match",
    "search",
    "groups",
}
KNOWN = {
    "firmware/health/mailbox.py": "hexadecimal digits of the board's firmware, by a pattern",
    "firmware/health/storage.py": "octal escapes of the kernel's table of mounts, by a pattern",
    "firmware/system/memory.py": "hexadecimal digits of the kernel's map of memory, by a pattern",
    "firmware/update/slots.py": "the guard has Python's library alone; nine digits at most",
    "firmware/update/version.py": "the guard has Python's library alone; digits by a pattern",
    "firmware/system/kernel_cache.py": "a ledger of our own, whose times have 19 digits",
}


def texts_of(function: ast.AST) -> set[str]:
    """Names that hold text or parts of it in a function: parameters that say so, and what is made
    by splitting or matching."""
    found = set()
    for node in ast.walk(function):
        if isinstance(node, ast.arg) and node.annotation is not None:
            said = ast.unparse(node.annotation)
            if said.split(" |")[0] == "str" or said.startswith("re.Match"):
                found.add(node.arg)
        for target, value in assigned(node):
            call = value.func if isinstance(value, ast.Call) else None
            is_made = isinstance(call, ast.Attribute) and call.attr in TEXT_MAKERS | TEXT_CALLS
            if is_made or (isinstance(value, ast.Name) and value.id in found):
                found |= {each.id for each in ast.walk(target) if isinstance(each, ast.Name)}
    return found


def assigned(node: ast.AST):
    """(where to, what) of whatever gives a name to something."""
    if isinstance(node, ast.Assign):
        yield from ((target, node.value) for target in node.targets)
    elif isinstance(node, ast.NamedExpr):
        yield node.target, node.value
    elif isinstance(node, ast.comprehension | ast.For):
        yield node.target, node.iter


def is_text(argument: ast.expr, texts: set[str]) -> bool:
    """Whether what is made a number is text, as far as the source tells."""
    inner = argument.value if isinstance(argument, ast.Subscript) else argument
    if isinstance(inner, ast.Name):
        return inner.id in texts
    if isinstance(inner, ast.Call) and isinstance(inner.func, ast.Attribute):
        return inner.func.attr in TEXT_CALLS | TEXT_MAKERS
    return False


def side_doors(source: str) -> list[int]:
    """Lines in which text is made a number by Python itself."""
    found = []
    for function in ast.walk(ast.parse(source)):
        if not isinstance(function, ast.FunctionDef):
            continue
        texts = texts_of(function)
        for node in ast.walk(function):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in {"int", "float"}
                and node.args
                and is_text(node.args[0], texts)
            ):
                found.append(node.lineno)
    return sorted(set(found))


def test_no_text_becomes_a_number_beside_the_door():
    found = {}
    for room in ("firmware", "overlays"):
        for path in sorted((ROOT / room).rglob("*.py")):
            lines = side_doors(path.read_text(encoding="utf-8"))
            if lines and (name := str(path.relative_to(ROOT))) not in {DOOR, *KNOWN}:
                found[name] = lines
    assert found == {}


@pytest.mark.parametrize("name", sorted(KNOWN))
def test_what_is_known_is_there_still(name):
    assert side_doors((ROOT / name).read_text(encoding="utf-8")), KNOWN[name]


@pytest.mark.parametrize(
    "source",
    [
        "def f(text: str):\n    return int(text)",
        "def f(line):\n    parts = line.split()\n    return float(parts[1])",
        "def f(x):\n    if found := P.fullmatch(x):\n        return int(found[1])",
        "def f(path):\n    return int(path.read_text())",
        "def f(x):\n    return [float(word) for word in x.split()]",
    ],
)
def test_a_side_door_is_found(source):
    assert side_doors(source) == [len(source.splitlines())]


@pytest.mark.parametrize(
    "word", ["\u00b2", "9" * 5000, "0." + "0" * 500 + "1", "1e999", "nan", "\u0663"]
)
def test_words_that_are_no_numbers_end_in_a_sentence(word):
    for parse in (parse_spot, parse_layout, lambda text: parse_corners(text, 640, 360)):
        for text in (word, f"{word},0.5", ",".join([word] * 8), f"{word}x{word}"):
            with pytest.raises((FirmwareError, OverlayError)):
                parse(text)
