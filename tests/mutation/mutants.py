"""Single mutations of a Python text: what a slip of the hand might make of it.

Each changes one place and leaves every other character, so that lines keep their numbers. What
cannot show in any behaviour is left alone: docstrings, annotations, decorators, words in messages,
options of `dataclass` and `zip`.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

LONGEST = 60
"""Characters of what was there that are quoted."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One mutation of a text: characters `start` to `end` become `by`.

    Attributes
    ----------
    line, column:
        Counted from 1.
    start, end:
        Offsets in the text, in characters.
    by:
        What stands there instead.
    what:
        Of which kind, in words.
    """

    line: int
    column: int
    start: int
    end: int
    by: str
    what: str

    def applied(self, text: str) -> str:
        """The text with the mutation."""
        return text[: self.start] + self.by + text[self.end :]

    def words(self, text: str) -> str:
        """What is changed into what, on one line."""
        before = " ".join(text[self.start : self.end].split())
        before = before if len(before) <= LONGEST else f"{before[:LONGEST]} …"
        return f"{self.what}: {before} -> {self.by or 'nothing'}"


TURNED = {
    ast.Lt: ("<", ">="),
    ast.LtE: ("<=", ">"),
    ast.Gt: (">", "<="),
    ast.GtE: (">=", "<"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
}
"""Comparisons and their opposites."""

EDGES = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">"}
"""Comparisons with whole numbers, the edge itself changing sides; of others hardly any is met."""

SWAPPED = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.LShift: ("<<", ">>"),
    ast.RShift: (">>", "<<"),
    ast.BitAnd: ("&", "|"),
    ast.BitOr: ("|", "&"),
}
"""Arithmetic and what is done instead."""

NAMES = {"min": "max", "max": "min", "floor": "ceil", "ceil": "floor", "any": "all", "all": "any"}
"""Functions that are taken for one another."""

LARGE = 1000
"""Whole numbers from here on become half more: one nanosecond of a second more is no slip of the
hand, and nothing comes of it."""

SILENT = frozenset({"strict", "cache", "nogil", "frozen", "slots", "check", "daemon", "name"})
"""Keywords whose value no test of behaviour can see, or ought to."""


def mutants(text: str) -> list[Mutant]:
    """Every mutation there is of a text, in the order of its lines."""
    tree = ast.parse(text)
    finder = _Finder(text)
    finder.visit(tree)
    return sorted(finder.found, key=lambda each: (each.start, each.by))


class _Finder(ast.NodeVisitor):
    """Goes through a tree and notes what could be changed."""

    def __init__(self, text: str) -> None:
        self.found: list[Mutant] = []
        self._text = text
        self._starts = [0]
        for line in text.splitlines(keepends=True):
            self._starts.append(self._starts[-1] + len(line))
        self._lines = text.splitlines()

    def _at(self, line: int, column: int) -> int:
        """Offset in characters of a line and of a column in bytes, as `ast` has them."""
        before = self._lines[line - 1].encode()[:column].decode()
        return self._starts[line - 1] + len(before)

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return (
            self._at(node.lineno, node.col_offset),
            self._at(node.end_lineno, node.end_col_offset),
        )

    def _note(self, span: tuple[int, int], by: str, what: str) -> None:
        line = self._text.count("\n", 0, span[0]) + 1
        self.found.append(Mutant(line, span[0] - self._starts[line - 1] + 1, *span, by, what))

    def _between(self, left: ast.expr, right: ast.expr, sign: str) -> tuple[int, int]:
        """Where an operator stands between its operands, brackets aside."""
        first, last = self._span(left)[1], self._span(right)[0]
        at = self._text.index(sign, first, last)
        return at, at + len(sign)

    # What is gone through, and what is not

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for default in (*node.args.defaults, *(d for d in node.args.kw_defaults if d)):
            self.visit(default)
        self._body(node.body)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        if not any("Protocol" in ast.unparse(base) for base in node.bases):
            self._body(node.body)

    def visit_Module(self, node: ast.Module) -> None:
        self._body(node.body)

    def _body(self, statements: list[ast.stmt]) -> None:
        for statement in statements:
            words = isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)
            if not words:  # a docstring, or ...
                self.visit(statement)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None and "TypeAlias" not in ast.unparse(node.annotation):
            self.visit(node.value)

    def visit_Assert(self, node: ast.Assert) -> None:
        """Assertions of the product are for the type checker."""

    def visit_Raise(self, node: ast.Raise) -> None:
        """Which fault it is and what it says; neither is arithmetic."""

    def visit_If(self, node: ast.If) -> None:
        if ast.unparse(node.test) not in {"TYPE_CHECKING", "__name__ == '__main__'"}:
            self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Words: how they are put is not looked at, and before 3.12 `ast` knows no places there."""

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg not in SILENT:
            self.visit(node.value)

    # What is changed

    def visit_Compare(self, node: ast.Compare) -> None:
        operands = [node.left, *node.comparators]
        for (left, right), sign in zip(pairwise(operands), node.ops, strict=True):
            found = TURNED[type(sign)]
            place = self._between(left, right, found[0])
            self._note(place, found[1], "comparison turned")
            if type(sign) in EDGES and (_is_whole(left) or _is_whole(right)):
                self._note(place, EDGES[type(sign)], "edge moved")
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        sign, other = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in pairwise(node.values):
            self._note(self._between(left, right, sign), other, "condition joined otherwise")
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        start = self._span(node)[0]
        if isinstance(node.op, ast.Not):
            self._note((start, start + 3), "", "condition turned")
        elif isinstance(node.op, ast.USub) and not isinstance(node.operand, ast.Constant):
            self._note((start, start + 1), "", "sign turned")
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if type(node.op) in SWAPPED and not (_is_words(node.left) or _is_words(node.right)):
            sign, other = SWAPPED[type(node.op)]
            self._note(self._between(node.left, node.right, sign), other, "arithmetic swapped")
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if type(node.op) in SWAPPED and not _is_words(node.value):
            sign, other = SWAPPED[type(node.op)]
            place = self._between(node.target, node.value, f"{sign}=")
            self._note(place, f"{other}=", "arithmetic swapped")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        by = _nudged(node.value)
        if by is not None:
            self._note(self._span(node), by, "constant nudged")

    def visit_Call(self, node: ast.Call) -> None:
        name = node.func.attr if isinstance(node.func, ast.Attribute) else None
        name = node.func.id if isinstance(node.func, ast.Name) else name
        if name in NAMES:
            end = self._span(node.func)[1]
            self._note((end - len(name), end), NAMES[name], "function exchanged")
        self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call):
            self._note(self._span(node), "pass", "call left out")
        self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is None:
            return
        if not (isinstance(node.value, ast.Constant) and node.value.value is None):
            self._note(self._span(node.value), "None", "nothing returned")
        self.generic_visit(node)


def _is_whole(node: ast.expr) -> bool:
    counted = isinstance(node, ast.Call) and ast.unparse(node.func) == "len"
    return counted or (isinstance(node, ast.Constant) and type(node.value) is int)


def _is_words(node: ast.expr) -> bool:
    text = isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)
    return text or isinstance(node, ast.JoinedStr)


def _nudged(value: object) -> str | None:
    """Another number or truth, told from the first by any test that looks; None for the rest."""
    if isinstance(value, bool):
        return str(not value)
    if isinstance(value, int):
        return str(value + 1 if value < LARGE else value + value // 2)
    if isinstance(value, float):
        return repr(1.5 * value if value else 1.0)
    return None


def lines_with(found: list[Mutant]) -> Iterator[tuple[int, list[Mutant]]]:
    """(line, its mutants), line by line: so that a table of figures counts no more than code."""
    for line in sorted({each.line for each in found}):
        yield line, [each for each in found if each.line == line]
