"""The lock: every wheel of a card with its version and the hashes that it may have.

It is made by uv for the board's processor and Python, with one command that stands at its head, so
that it holds no conditions: what stands in it is on the card.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from hardware.card.errors import LockError

REMEDY = "make it anew with the command in the first lines of hardware/card/lock.txt"

_ENTRY = re.compile(r"([A-Za-z0-9][A-Za-z0-9._-]*)==([A-Za-z0-9][A-Za-z0-9.+!_-]*)")
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


@dataclass(frozen=True, slots=True)
class Locked:
    """One distribution.

    Attributes
    ----------
    name:
        Normalised: small letters, parts with a dash between (PyPA, Names and normalization).
    version:
        The one.
    hashes:
        SHA-256 of the files that it may come in.
    """

    name: str
    version: str
    hashes: frozenset[str]


def normalised(name: str) -> str:
    """A distribution's name as names are compared (PyPA, Names and normalization)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def read_lock(path: Path) -> tuple[Locked, ...]:
    """The lock in a file.

    Raises
    ------
    LockError
        It cannot be read or is none.
    """
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise LockError(f"the lock {path} cannot be read ({fault}): {REMEDY}") from fault
    return parse_lock(text, str(path))


def parse_lock(text: str, name: str) -> tuple[Locked, ...]:
    """The distributions of a lock, by name.

    Parameters
    ----------
    text:
        Requirements as pip reads them, each with a version and hashes.
    name:
        What messages call it.

    Raises
    ------
    LockError
        A line is something else, or a distribution stands twice.
    """
    found: dict[str, Locked] = {}
    for line in re.sub(r"\\\r?\n", " ", text).splitlines():
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        entry = _entry(words, name)
        if entry.name in found:
            raise LockError(f"{name} names {entry.name} twice: {REMEDY}")
        found[entry.name] = entry
    if not found:
        raise LockError(f"{name} is empty: {REMEDY}")
    return tuple(found[each] for each in sorted(found))


def _entry(words: list[str], name: str) -> Locked:
    head = _ENTRY.fullmatch(words[0])
    hashes = [_HASH.fullmatch(word) for word in words[1:]]
    if head is None or not hashes or not all(hashes):
        raise LockError(
            f'{name}: "{" ".join(words)[:60]}" is no name==version with --hash=sha256 and '
            f"nothing else: {REMEDY}"
        )
    return Locked(normalised(head[1]), head[2], frozenset(each[1] for each in hashes if each))
