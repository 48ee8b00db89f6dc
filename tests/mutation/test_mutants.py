"""The mutations themselves: each is one change, each can be told, and words are left alone."""

import ast
from pathlib import Path

import pytest

from tests.mutation.mutants import lines_with, mutants

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted((ROOT / "overlays").rglob("*.py")) + sorted((ROOT / "firmware").rglob("*.py"))


def made(text):
    return {mutant.applied(text) for mutant in mutants(text)}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a < b", {"a >= b"}),
        ("a < 3", {"a >= 3", "a <= 3", "a < 4"}),
        ("a <= b < c", {"a > b < c", "a <= b >= c"}),
        ("x is not None", {"x is None"}),
        ("(a) in (b)", {"(a) not in (b)"}),
        ("a and b or c", {"a or b or c", "a and b and c"}),
        ("f(not a)", {"pass", "f( a)"}),
        ("x = -y + z", {"x = y + z", "x = -y - z"}),
        ("x = a // 2", {"x = a * 2", "x = a // 3"}),
        ("n += k", {"n -= k"}),
        ("x = 0.5", {"x = 0.75"}),
        ("x = 1_000_000_000", {"x = 1500000000"}),
        ("x = 0.0", {"x = 1.0"}),
        ("x = True", {"x = False"}),
        ("x = min(a, b)", {"x = max(a, b)"}),
        ("x = np.floor(a)", {"x = np.ceil(a)"}),
        ("def f():\n    return a", {"def f():\n    return None"}),
        ("def f(a=1):\n    return", {"def f(a=2):\n    return"}),
        ("ä = 'ö'; b < c", {"ä = 'ö'; b >= c"}),
    ],
)
def test_each_slip_is_made(text, expected):
    assert made(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        '"""Words."""',
        "x: int = y",
        "@f(1)\ndef g():\n    pass",
        "raise E(f'{a + 1}')",
        "assert a < b",
        "x = f'{a + 1}'",
        "x = a + 'words'",
        "x = zip(a, b, strict=True)",
        "class P(Protocol):\n    x: int = 1",
        "def f():\n    return None",
    ],
)
def test_what_no_test_could_see_is_left_alone(text):
    assert made(text) == set()


def statements(text):
    """(start, end) of every statement at the root of a text: its lines, in characters."""
    starts = [0, *(at + 1 for at, sign in enumerate(text) if sign == "\n"), len(text)]
    for node in ast.parse(text).body:
        first = min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", []))])
        yield starts[first - 1], starts[node.end_lineno]


@pytest.mark.parametrize("path", MODULES[::9], ids=lambda path: path.stem)
def test_every_mutant_of_a_module_of_ours_is_another_program_on_the_same_lines(path):
    text = path.read_text()
    lines = text.splitlines()
    firsts = [found[0] for _, found in lines_with(mutants(text))]
    seen = 0
    for start, end in statements(text):
        whole = ast.dump(ast.parse(text[start:end]))
        for mutant in firsts:
            if start <= mutant.start < end:
                assert lines[mutant.line - 1][mutant.column - 1] == text[mutant.start]
                # Only the statement that it is in is parsed again: the rest is as it was.
                other = mutant.applied(text)
                assert ast.dump(ast.parse(other[start : end + len(other) - len(text)])) != whole
                assert other[: mutant.start] == text[: mutant.start]
                assert other[len(other) - len(text) + mutant.end :] == text[mutant.end :]
                seen += 1
    assert seen == len(firsts)
