"""In which line of a TOML file a key stands; `tomllib` does not say."""

import re

Path = tuple[str | int, ...]

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$")
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
            for _ in range(0 if line.lstrip().startswith("#") else line.count("{")):
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
                counted[here] = rest.count("{")
                found.update({(*here, i): number for i in range(counted[here])})
                array = None if "]" in rest.split("#")[0] else here
    return found


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
