"""The text form of colour measurements that CGATS.17 and ISO 28178 define, as a table of words.

Written from the layout those standards give: keywords with values, a data format between
BEGIN_DATA_FORMAT and END_DATA_FORMAT, and rows between BEGIN_DATA and END_DATA; '#' starts a
comment, and double quotes hold words together. Only the first table of a file is read.
"""

from dataclasses import dataclass, field

from overlays.errors import ChartFileError
from overlays.wording.read_number import whole_in

_MARKS = ("BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA")
MOST_ROWS = 10_000
LONGEST_LINE = 20_000


@dataclass(frozen=True, slots=True)
class CgatsTable:
    """A table of words.

    Attributes
    ----------
    keywords:
        What stands before and beside the data, by keyword in capitals.
    fields:
        Names of the columns, in capitals.
    rows:
        One tuple of words a sample, as many as there are fields.
    lines:
        The line, counted from 1, on which each row starts.

    Examples
    --------
    >>> table = CgatsTable({}, ("SAMPLE_ID", "XYZ_Y"), (("A1", "18.0"), ("A2", "90.0")), (5, 6))
    >>> table.column("XYZ_Y")
    ('18.0', '90.0')
    """

    keywords: dict[str, str]
    fields: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]

    def column(self, name: str) -> tuple[str, ...]:
        """The words of a column.

        Parameters
        ----------
        name:
            Of the column, in capitals.

        Returns
        -------
        tuple[str, ...]
            One word for each row.

        Raises
        ------
        KeyError
            There is no column of the name.
        """
        if name not in self.fields:
            raise KeyError(name)
        at = self.fields.index(name)
        return tuple(row[at] for row in self.rows)


@dataclass(slots=True)
class _Reading:
    """State of the reader between two lines."""

    keywords: dict[str, str] = field(default_factory=dict)
    fields: list[str] = field(default_factory=list)
    words: list[tuple[str, int]] = field(default_factory=list)
    inside: str | None = None
    opened: int = 0
    done: bool = False


def _words(line: str, number: int) -> list[str]:
    """The words of a line, quotes and comment removed."""
    if len(line) > LONGEST_LINE:
        raise ChartFileError(f"line {number} is {len(line)} characters long: this is no CGATS text")
    out, at = [], 0
    while at < len(line):
        if line[at].isspace():
            at += 1
        elif line[at] == "#":
            break
        elif line[at] == '"':
            end = line.find('"', at + 1)
            if end < 0:
                raise ChartFileError(f"line {number}: a quotation mark is opened and never closed")
            out.append(line[at + 1 : end])
            at = end + 1
        else:
            end = at
            while end < len(line) and not line[end].isspace() and line[end] != '"':
                end += 1
            out.append(line[at:end])
            at = end
    return out


def _take_mark(state: _Reading, mark: str, number: int) -> None:
    if mark.startswith("BEGIN"):
        if state.inside is not None:
            raise ChartFileError(
                f"line {number}: {mark} before {state.inside.replace('BEGIN', 'END')} of line "
                f"{state.opened}"
            )
        if mark == "BEGIN_DATA" and not state.fields:
            raise ChartFileError(
                f"line {number}: BEGIN_DATA before any BEGIN_DATA_FORMAT: what its columns are is "
                "not said"
            )
        state.inside, state.opened = mark, number
        return
    if state.inside != mark.replace("END", "BEGIN"):
        raise ChartFileError(f"line {number}: {mark} without {mark.replace('END', 'BEGIN')}")
    state.inside = None
    state.done = mark == "END_DATA"


def _take_line(state: _Reading, words: list[str], number: int) -> None:
    first = words[0].upper()
    if first in _MARKS:
        _take_mark(state, first, number)
        words = words[1:]
        if not words or state.done:
            return
    if state.inside == "BEGIN_DATA_FORMAT":
        state.fields += [word.upper() for word in words]
    elif state.inside == "BEGIN_DATA":
        state.words += [(word, number) for word in words]
    elif first == "KEYWORD":
        return
    elif len(words) > 1:
        state.keywords[first] = " ".join(words[1:])


def parse_cgats(text: str) -> CgatsTable:
    """Read the first table of a CGATS.17 or ISO 28178 text.

    Parameters
    ----------
    text:
        All of the file, with any line ends; a byte order mark is passed over.

    Returns
    -------
    CgatsTable
        At most `MOST_ROWS` rows.

    Raises
    ------
    ChartFileError
        The text is no such table; one sentence with the line.

    Examples
    --------
    >>> table = parse_cgats('''CGATS.17
    ... BEGIN_DATA_FORMAT
    ... SAMPLE_ID XYZ_Y
    ... END_DATA_FORMAT
    ... BEGIN_DATA
    ... A1 90.0
    ... A2 18.4
    ... END_DATA''')
    >>> table.column("XYZ_Y")
    ('90.0', '18.4')
    """
    state = _Reading()
    number = 0
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), start=1):
        words = _words(line, number)
        if words:
            _take_line(state, words, number)
        if state.done:
            break
    if state.inside is not None:
        raise ChartFileError(
            f"line {number}: the text ends within {state.inside} of line {state.opened}; it is cut "
            "short"
        )
    if not state.done:
        raise ChartFileError(
            "no BEGIN_DATA … END_DATA was found: a CGATS.17 or ISO 28178 text is needed"
        )
    return _table(state)


def _table(state: _Reading) -> CgatsTable:
    width = len(state.fields)
    if len(set(state.fields)) != width:
        twice = next(name for name in state.fields if state.fields.count(name) > 1)
        raise ChartFileError(f"the data format names {twice} twice")
    words = state.words
    if not words:
        raise ChartFileError("there is no row between BEGIN_DATA and END_DATA")
    if len(words) % width:
        raise ChartFileError(
            f"line {_uneven_line(words, width)}: the data hold {len(words)} words, which "
            f"{width} columns do not divide; a row has too few or too many"
        )
    rows = [words[n : n + width] for n in range(0, len(words), width)]
    if len(rows) > MOST_ROWS:
        raise ChartFileError(f"{len(rows)} rows; at most {MOST_ROWS} can be a chart")
    stated = state.keywords.get("NUMBER_OF_SETS", "").split(" ")[0]
    if stated.isdecimal() and whole_in(stated) != len(rows):
        raise ChartFileError(
            f"NUMBER_OF_SETS says {stated[:12]}, but there are {len(rows)} rows of data"
        )
    return CgatsTable(
        state.keywords,
        tuple(state.fields),
        tuple(tuple(word for word, _ in row) for row in rows),
        tuple(row[0][1] for row in rows),
    )


def _uneven_line(words: list[tuple[str, int]], width: int) -> int:
    """The first line whose number of words differs from the number of columns."""
    counts: dict[int, int] = {}
    for _, line in words:
        counts[line] = counts.get(line, 0) + 1
    return next((line for line, count in counts.items() if count != width), words[-1][1])
