"""Public functions that measure say what they take and give, in numpy's style, and show it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.places import ROOT

ROOMS = ("overlays/measure", "overlays/signal")
PROTOCOLS = {"overlays/signal/formulas.py": {"encode", "decode"}}
"""Methods of which a protocol (`Formula`) says it for all that implement it."""
UNITS = re.compile(
    r"stops?\b|percent|%|codes?\b|pixels?\b|\b0 to 1\b|shares?\b|kelvin|mired|Duv|factor|bits?\b|"
    r"seconds?|nanoseconds|degrees?|degC|linear|reflectance|nominal|\blevels?\b|ΔE|CIE|L\*|u', v'|"
    r"metres?|lux|hertz|frames?\b|rows?\b|columns?\b|coordinates?|number of|how many|places?\b|"
    r"without a unit|radians|index|steps?\b",
    re.IGNORECASE,
)
NUMBER = re.compile(r"\b(int|float|FloatArray|CodeArray|NDArray)\b")


class Documented(NamedTuple):
    """A public function that takes something, or gives something."""

    where: str
    name: str
    node: ast.FunctionDef
    text: str

    def section(self, heading: str) -> str | None:
        """What stands under a heading; None where there is none."""
        found = re.search(
            rf"^{heading}\n-+\n(.*?)(?=^\w+\n-+\n|\Z)", self.text, re.MULTILINE | re.DOTALL
        )
        return None if found is None else found[1]

    def wanting(self) -> list[str]:
        """What it does not say."""
        taken, given = self.section("Parameters"), self.section("Returns")
        arguments = self.node.args
        names = [a.arg for a in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)]
        words = set(re.findall(r"\w+", taken or ""))
        out = [f"{name} is not among its parameters" for name in names if name not in words]
        returns = "None" if self.node.returns is None else ast.unparse(self.node.returns)
        if returns != "None":
            if given is None:
                out.append("it does not say what it returns")
            elif NUMBER.search(returns) and not UNITS.search(
                f"{self.text.splitlines()[0]} {given}"
            ):
                out.append("what it returns has no unit")
        raising = any(isinstance(n, ast.Raise) and n.exc is not None for n in ast.walk(self.node))
        if raising and self.section("Raises") is None:
            out.append("it does not say what it raises")
        return out


def functions(path: Path) -> Iterator[Documented]:
    """Those of a module and of its public classes; what a decorator makes a value is none."""
    where = str(path.relative_to(ROOT))
    bodies: list[tuple[str, list[ast.stmt]]] = [("", ast.parse(path.read_text()).body)]
    while bodies:
        inside, body = bodies.pop()
        for node in body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                bodies.append((f"{node.name}.", node.body))
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            decorators = " ".join(ast.unparse(each) for each in node.decorator_list)
            if re.search(r"property|overload|setter", decorators):
                continue
            if node.name in PROTOCOLS.get(where, ()):
                continue
            node.args.args = [a for a in node.args.args if a.arg not in {"self", "cls"}]
            if node.args.args or node.args.posonlyargs or node.args.kwonlyargs:
                text = ast.get_docstring(node) or "-"
                yield Documented(where, inside + node.name, node, text)


ALL = [
    each
    for room in ROOMS
    for path in sorted((ROOT / room).rglob("*.py"))
    for each in functions(path)
]


def test_they_say_what_they_take_and_give():
    assert [f"{each.where}:{each.name}: {lack}" for each in ALL for lack in each.wanting()] == []


def test_there_are_functions():
    assert len(ALL) > 300


def test_the_check_bites():
    source = '''
def good(a: float, b: int = 1) -> float:
    """Light.

    Parameters
    ----------
    a, b:
        Percent.

    Returns
    -------
    float
        Stops.
    """
    raise ValueError
'''
    (node,) = ast.parse(source).body
    assert isinstance(node, ast.FunctionDef)
    text = ast.get_docstring(node)
    assert text is not None
    assert Documented("", "good", node, text).wanting() == ["it does not say what it raises"]
    for gone, said in (
        ("a, b:", "b is not among its parameters"),
        ("Stops.", "what it returns has no unit"),
        ("Returns\n-------", "it does not say what it returns"),
    ):
        assert said in Documented("", "good", node, text.replace(gone, "a")).wanting()


def is_public(name: str) -> bool:
    return not name.startswith("_")


def decorated(node: ast.FunctionDef) -> str:
    return " ".join(ast.unparse(each) for each in node.decorator_list)


def shows(node: ast.FunctionDef | ast.ClassDef) -> bool:
    return ">>> " in (ast.get_docstring(node) or "")


def without_example(body: list[ast.stmt]) -> Iterator[str]:
    """Public functions and classes with behaviour that show none; `test_doctests.py` runs them all.

    A class shows its use in its own docstring, or each of its methods that takes something does.
    Free of it are loops over pixels, which numba compiles (the public function beside them shows
    what they give), and protocols (whoever implements one shows it).
    """
    for node in body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or not is_public(node.name):
            continue
        if shows(node):
            continue
        if isinstance(node, ast.ClassDef):
            protocol = any(ast.unparse(base).startswith("Protocol") for base in node.bases)
            yield from () if protocol else (f"{node.name}{way}" for way in unshown(node))
        elif not re.search(r"njit|overload", decorated(node)):
            yield node.name


def unshown(node: ast.ClassDef) -> Iterator[str]:
    """Of a class without an example: its methods without one, or the class if none has one."""
    methods = [n for n in node.body if isinstance(n, ast.FunctionDef) and is_public(n.name)]
    taking = [n for n in methods if len(n.args.args) + len(n.args.kwonlyargs) > 1]
    lacking = {n.name for n in taking if not shows(n) and "overload" not in decorated(n)}
    yield from (f".{name}" for name in sorted(lacking))
    if methods and not lacking and not any(map(shows, methods)):
        yield ""


MODULES = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))]


def test_each_shows_an_example():
    lacking = [
        f"{path.relative_to(ROOT)}:{name}"
        for path in MODULES
        for name in without_example(ast.parse(path.read_text()).body)
    ]
    assert lacking == []


@pytest.mark.parametrize(
    ("source", "lacking"),
    [
        ("def a(): ...", ["a"]),
        ("def _a(): ...", []),
        ("def a():\n '>>> a()'", []),
        ("@nb.njit(cache=True)\ndef a(): ...", []),
        ("class A:\n x: int", []),
        ("class A:\n @property\n def x(self): ...", ["A"]),
        ("class A:\n def x(self, y): ...\n def z(self): ...", ["A.x"]),
        ("class A:\n def x(self, y):\n  '>>> A()'\n def z(self, y): ...", ["A.z"]),
        ("class A:\n '>>> A()'\n def x(self, y): ...", []),
        ("class A(Protocol):\n def x(self, y): ...", []),
    ],
)
def test_what_lacks_one_is_found(source, lacking):
    assert list(without_example(ast.parse(source).body)) == lacking
