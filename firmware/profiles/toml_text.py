"""The text of a profile as TOML, or what keeps it from being that."""

import errno
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from firmware.errors import ProfileError
from firmware.profiles.key_lines import first_of_twice
from firmware.system.files import read_small, reason_of
from overlays.wording.read_number import whole

_WHERE = re.compile(
    r"(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|(?P<end>.*))\)"
)
_TWICE = ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Duplicate inline table key")
"""How `tomllib` begins what it says of a key that is given again."""
_MOST_TWICE = 50
"""Keys given twice that are looked for in one file."""


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a text says.

    Attributes
    ----------
    raw:
        As TOML has it; of a key that is given twice its first value.
    text:
        What that was taken from: lines that give a key again are empty.
    twice:
        (line, what to do) of each of these.
    """

    raw: dict[str, Any]
    text: str
    twice: tuple[tuple[int, str], ...]


LARGEST_BYTES = 200_000
"""A page of text; whatever is larger is something else by mistake."""


def read_text(path: Path, what: str = "profile") -> str:
    """The text of a file that people write, whatever computer they wrote it on.

    Raises
    ------
    ProfileError
        It cannot be read, is no plain file, too large, or no UTF-8; one sentence with the remedy.
    """
    try:
        raw = read_small(path, LARGEST_BYTES)
    except OSError as fault:
        if fault.errno == errno.EFBIG:
            raise ProfileError(
                f"{path}: is larger than a {what} can be; is it the right file?"
            ) from fault
        raise ProfileError(
            f"{path}: cannot be read ({reason_of(fault)}); check the path"
        ) from fault
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        raise ProfileError(
            f"{path}:{line}: is not UTF-8 text from here on; save it as UTF-8"
        ) from fault


def parse_toml(text: str, path: Path) -> Parsed:
    """What the text says.

    Raises
    ------
    ProfileError
        It is no TOML, or which of two values belongs where cannot be told.
    """
    twice: list[tuple[int, str]] = []
    while True:
        try:
            return Parsed(tomllib.loads(text), text, tuple(twice))
        except (ValueError, RecursionError) as fault:  # too deep, or a number of many digits
            found = _WHERE.match(str(fault))
            repeated = _repeated(text, found)
            if repeated is not None:
                twice.append(repeated)
            shorter = None if repeated is None else _without(text, repeated[0])
            if shorter is None or len(twice) == _MOST_TWICE:
                report = [f"{path}:{line}: {what}" for line, what in twice]
                if repeated is None:
                    report.append(f"{path}: {_other_fault(text, found, fault)}")
                raise ProfileError("\n".join(report)) from fault
            text = shorter


def _other_fault(text: str, found: re.Match[str] | None, fault: Exception) -> str:
    what = (found["what"] if found else str(fault)).rstrip(".")
    if "'\\n'" in what:
        what = "the line ends inside a text; close its quotes"
    at = f"line {max(len(text.splitlines()), 1)}, at the end"
    if found and found["line"]:
        at = f"line {found['line']}, column {found['column']}"
    return (
        f"{at}: not TOML ({what[:1].lower()}{what[1:]}); "
        'write one key = "value" a line, texts in quotes'
    )


def _repeated(text: str, found: re.Match[str] | None) -> tuple[int, str] | None:
    """Line and remedy of a key that is given twice; None of another fault."""
    if found is None or not found["what"].startswith(_TWICE):
        return None
    line = whole(found["line"] or str(len(text.splitlines())))
    key = first_of_twice(text, line)
    if key is None:
        return line, "a key is given twice here; keep one of the two"
    return line, f"{key[0]} is given twice, first in line {key[1]}; keep one of the two"


def _without(text: str, line: int) -> str | None:
    """The text with a line emptied; None where that is not a key and its value alone."""
    lines = text.splitlines()
    words = lines[line - 1].strip()
    if "=" not in words or words.startswith("["):
        return None
    lines[line - 1] = ""
    return "\n".join(lines) + "\n"
