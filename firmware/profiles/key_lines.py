"""In which line of a TOML file a key stands; `tomllib` does not say."""

import re

Path = tuple[str | int, ...]

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$")
_ENTRY = re.compile(r"\"[^\"]*\"|'[^']*'|[^\s,\[\]]+")
_KEY = re.compile(r"""\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*[A-Za-z0-9_-]+)*)\s*=(.*)""")


def _parts(dotted: str) -> Path:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def key_lines(text: str) -> dict[Path, int]:
    """Line numbers, from 1, of the keys of a TOML text.

    Keys inside an inline table are those of the line it begins in; the entries of an array that is
    written one a line are told apart. What is not found is looked up at its parent by `line_of`.
    """
    found: dict[Path, int] = {}
    table: Path = ()
    array: Path | None = None
    counted: dict[Path, int] = {}
    inside_text = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if inside_text:
            inside_text = "" if inside_text in line else inside_text
            continue
        header, key = _HEADER.match(line), _KEY.match(line)
        if array is not None and not (key and not line.lstrip().startswith("{")):
            for _ in range(_entries(line)):
                found[(*array, counted[array])] = number
                counted[array] += 1
            array = None if "]" in line.split("#")[0] else array
            continue
        array = None
        if header:
            table = _parts(header[2])
            if header[1] == "[[":
                index = counted.get(table, 0)
                counted[table] = index + 1
                found.setdefault(table, number)
                table = (*table, index)
            found[table] = number
        elif key:
            here = (*table, *_parts(key[1]))
            found[here] = number
            rest = key[2].strip()
            inside_text = _opens_text(rest)
            if rest.startswith("["):
                counted[here] = _entries(rest)
                found.update({(*here, i): number for i in range(counted[here])})
                array = None if "]" in rest.split("#")[0] else here
    return found


def _entries(line: str) -> int:
    """Entries of an array that a line of it holds: tables, or else texts and numbers."""
    if line.lstrip().startswith("#"):
        return 0
    return line.count("{") or len(_ENTRY.findall(line.split("#", maxsplit=1)[0]))


def first_of_twice(text: str, line: int) -> tuple[str, int] | None:
    """(the key, its first line) of a key that is given again at a line, or just before it.

    None where no key there stands twice.
    """
    lines = text.splitlines()
    for last in range(min(line, len(lines)), 0, -1):
        if _KEY.match(lines[last - 1]) is None and _HEADER.match(lines[last - 1]) is None:
            continue  # within a value of several lines
        before = key_lines("\n".join(lines[: last - 1]))
        here = [path for path, at in key_lines("\n".join(lines[:last])).items() if at == last]
        path = next((each for each in here if each in before), None)
        return None if path is None else (".".join(map(str, path)), before[path])
    return None


def _opens_text(rest: str) -> str:
    """The quotes that close a text of several lines begun here, or nothing."""
    for quotes in ('"""', "'''"):
        if rest.startswith(quotes) and quotes not in rest[3:]:
            return quotes
    return ""


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of a key, or of the nearest thing around it that has one."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None
