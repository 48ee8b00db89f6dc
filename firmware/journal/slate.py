"""The slate: scene, shot, take, camera and notes, as they stand when a mark is made.

They come from the command line and from a small file beside the journal, which is read anew at each
mark, so that it can be changed while midgrey runs.
"""

import json
import tomllib
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from firmware.errors import ArgumentError
from firmware.written.spelling import offer

NAME = "slate.toml"
"""The file beside the journal."""
MOST_BYTES = 10_000
LONGEST = 400
"""Characters of one field: a note is a line or two."""


@dataclass(frozen=True, slots=True)
class Slate:
    """What a clapper board says; empty where nobody said it."""

    scene: str = ""
    shot: str = ""
    take: str = ""
    camera: str = ""
    notes: str = ""

    @property
    def setup(self) -> tuple[str, str, str]:
        """What makes one setup: scene, shot and camera."""
        return self.scene, self.shot, self.camera

    @property
    def words(self) -> str:
        """On one line, without the notes."""
        named = ((n, getattr(self, n)) for n in ("scene", "shot", "take", "camera"))
        return ", ".join(f"{name} {value}" for name, value in named if value)

    def over(self, other: "Slate") -> "Slate":
        """The same, and another where it says nothing."""
        return replace(other, **{name: value for name, value in asdict(self).items() if value})


FIELDS = tuple(each.name for each in fields(Slate))


def parse_slate(text: str) -> Slate:
    """The slate of a line such as ``scene=12,shot=A,take=3``; the notes come last.

    Raises
    ------
    ArgumentError
        A field is unknown, or has no value.
    """
    found: dict[str, str] = {}
    rest = text
    while rest:
        name, equals, after = rest.partition("=")
        name = name.strip().casefold()
        if not equals or name not in FIELDS:
            raise ArgumentError(f"--slate {text!r}: {offer(name, FIELDS)}, as scene=12,take=3")
        # Notes are the rest of the line, commas and all.
        value, rest = (after, "") if name == "notes" else after.partition(",")[::2]
        found[name] = _short(value)
    return Slate(**found)


def read_slate(folder: Path) -> Slate:
    """The slate of the file in a folder; empty where there is none.

    Raises
    ------
    ArgumentError
        It cannot be read, or is no slate.
    """
    path = folder / NAME
    try:
        if not path.exists():
            return Slate()
        with path.open("rb") as file:
            found = tomllib.loads(file.read(MOST_BYTES).decode("utf-8-sig"))
    except OSError as fault:
        raise ArgumentError(f"{path}: cannot be read ({fault.strerror})") from fault
    except (ValueError, RecursionError) as fault:
        raise ArgumentError(f'{path}: is no TOML; write scene = "12" and so on') from fault
    for name, value in found.items():
        if name not in FIELDS:
            raise ArgumentError(f"{path}: {name} is no field of a slate; {offer(name, FIELDS)}")
        if not isinstance(value, str | int) or isinstance(value, bool):
            raise ArgumentError(f'{path}: {name} is no text; write {name} = "12"')
    return Slate(**{name: _short(str(value)) for name, value in found.items()})


def slate_text(slate: Slate) -> str:
    """The slate as the content of such a file."""
    said = ((name, getattr(slate, name)) for name in FIELDS)
    # What JSON calls a text TOML does too, but for one control character, which no slate has.
    return "".join(f"{name} = {json.dumps(value)}\n" for name, value in said if value)


def slate_of(found: object) -> Slate:
    """The slate that stands in a row, as far as it is one."""
    if not isinstance(found, dict):
        return Slate()
    return Slate(**{name: _short(str(found[name])) for name in FIELDS if found.get(name)})


def _short(value: str) -> str:
    return " ".join(value.split())[:LONGEST]
