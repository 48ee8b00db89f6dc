"""The file of settings on the card: read once, and set aside where it is damaged."""

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from firmware.kept.document import SCHEMA, Kept, number_of, understood
from firmware.system.files import read_small, reason_of, save, settle, unsaved

LARGEST_BYTES = 200_000
"""Two hundred profiles with all that can be set on each are less."""

FILE = "settings.json"
"""In the folder of a service's state."""

DAMAGED, LEFT, NEWER = ".damaged", ".before-factory", ".newer"
FACTORY = "midgrey starts as from the factory"


@dataclass(frozen=True, slots=True)
class Found:
    """What was kept, or None; and what is to be said of it, or nothing."""

    kept: Kept | None = None
    said: str = ""


def read_kept(path: Path) -> Found:
    """What was set when the unit last ran; a file that cannot be understood is set aside."""
    _sweep(path)
    try:
        content = read_small(path, LARGEST_BYTES)
    except FileNotFoundError:
        return Found()
    except OSError as fault:
        return Found(None, f"{path}: the settings cannot be read ({reason_of(fault)}); {FACTORY}")
    number = number_of(content)
    if number is not None and number > SCHEMA:
        return _of_before(path, number)
    try:
        kept = understood(content)
        return Found(kept, "" if number == SCHEMA else _copied(path, content, number))
    except (ValueError, RecursionError) as fault:
        why = f"{path}: the settings are damaged ({_first_of(fault)})"
        return Found(None, f"{why} and {_aside(path, DAMAGED)}; {FACTORY}")


def _copied(path: Path, content: bytes, number: int | None) -> str:
    """Keep a file that is about to be replaced by one of a newer shape; says so."""
    copy = _of_number(path, number)
    try:
        save(copy, content)
    except OSError as fault:
        return unsaved(copy, "copy of the older settings", fault)
    return f"settings of an older version are taken over, and kept as {copy.name}"


def _of_before(path: Path, number: int) -> Found:
    """What was set before a newer version was tried, where one has come back from it."""
    why = f"{path}: the settings are of a newer version ({number})"
    aside = _aside(path, NEWER)
    try:
        before = Found(understood(read_small(_of_number(path, SCHEMA), LARGEST_BYTES)))
    except (OSError, ValueError, RecursionError):
        return Found(None, f"{why} and {aside}; {FACTORY}")
    return Found(before.kept, f"{why} and {aside}; those of before it are used")


def _of_number(path: Path, number: int | None) -> Path:
    return path.with_name(f"{path.stem}.schema-{number}{path.suffix}")


def factory_start(path: Path) -> str:
    """Leave what was kept aside, so that the next start does not take it up either; says so."""
    if not path.exists():
        return ""
    return f"factory start: what was set before {_aside(path, LEFT)}"


def _sweep(path: Path) -> None:
    """Take away what power cuts left of files that were being written."""
    with suppress(OSError):
        for left in path.parent.glob(f".{path.name}.*"):
            left.unlink()


def _aside(path: Path, what: str) -> str:
    target = path.with_name(f"{path.stem}{what}{path.suffix}")
    try:
        path.replace(target)
    except OSError as fault:
        return f"cannot be set aside ({reason_of(fault)})"
    settle(target.parent)
    return f"is set aside as {target.name}"


def _first_of(fault: Exception) -> str:
    """The first mistake, in a line."""
    if isinstance(fault, ValidationError):
        first = fault.errors(include_url=False, include_input=False)[0]
        where = ".".join(map(str, first["loc"]))
        words = f"{where}: {first['msg']}" if where else str(first["msg"])
    else:
        words = str(fault) or type(fault).__name__
    return " ".join(words.split())[:160]
