"""What a version says of itself, and what a bundle says of what it carries: two small TOML files.

A bundle's own, which is what its signer has signed, says all that a unit has to know before it
unpacks anything: which version it is, what it runs on, how large it will be, and the digest of what
follows.
"""

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from firmware.errors import UpdateError
from firmware.update.version import NAME

ANY = "any"
"""Of a version that holds nothing made for one kind of processor."""
MOST_BYTES = 8192
MOST_UNPACKED = 2 << 30
"""Bytes of a version; one with every wheel has some 400 MB."""
MOST_ENTRIES = 60_000
"""Files and folders of a version; one with every wheel has some 15 000."""

_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
_PYTHON = re.compile(r"3\.\d{1,2}", re.ASCII)
_MACHINE = re.compile(r"[a-z0-9_]{1,20}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Release:
    """What a version is.

    Attributes
    ----------
    version:
        Its name.
    machine:
        The processor it is made for, as `uname -m` says it; `ANY` for every one.
    python:
        The release of Python that it is made for, as 3.13.
    layout:
        The layout of a unit that it needs (`places.LAYOUT`).
    """

    version: str
    machine: str
    python: str
    layout: int

    def text(self) -> str:
        """As it stands in a version's folder."""
        return (
            f'version = "{self.version}"\nmachine = "{self.machine}"\n'
            f'python = "{self.python}"\nlayout = {self.layout}\n'
        )


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a bundle carries.

    Attributes
    ----------
    release:
        The version.
    payload_bytes, payload_sha256:
        Size and digest of the packed version behind it.
    unpacked_bytes, entries:
        Bytes of all its files, and how many files and folders there are.
    """

    release: Release
    payload_bytes: int
    payload_sha256: str
    unpacked_bytes: int
    entries: int

    def text(self) -> str:
        """As it stands in the bundle, and is signed."""
        return (
            f"{self.release.text()}payload_bytes = {self.payload_bytes}\n"
            f'payload_sha256 = "{self.payload_sha256}"\n'
            f"unpacked_bytes = {self.unpacked_bytes}\nentries = {self.entries}\n"
        )


def release_of(content: bytes, where: str) -> Release:
    """What a version's file says.

    Parameters
    ----------
    where:
        The file, for the sentence of a refusal.

    Raises
    ------
    UpdateError
        It is not understood.
    """
    return _release(_table(content, where), where)


def manifest_of(content: bytes, where: str) -> Manifest:
    """What a bundle's file says.

    Raises
    ------
    UpdateError
        It is not understood, or says sizes that no version has.
    """
    table = _table(content, where)
    sizes = (
        _whole(table, "payload_bytes", MOST_UNPACKED, where),
        _whole(table, "unpacked_bytes", MOST_UNPACKED, where),
        _whole(table, "entries", MOST_ENTRIES, where),
    )
    digest = _text(table, "payload_sha256", _DIGEST, where)
    return Manifest(_release(table, where), sizes[0], digest, sizes[1], sizes[2])


def _table(content: bytes, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        raise UpdateError(
            f"{where}: it does not say in TOML which version it is; make it again"
        ) from None


def _release(table: dict[str, Any], where: str) -> Release:
    return Release(
        _text(table, "version", NAME, where),
        _text(table, "machine", _MACHINE, where),
        _text(table, "python", _PYTHON, where),
        _whole(table, "layout", 1000, where),
    )


def _text(table: dict[str, Any], key: str, kind: re.Pattern[str], where: str) -> str:
    found = table.get(key)
    if not isinstance(found, str) or not kind.fullmatch(found):
        raise UpdateError(f"{where}: its {key} is none that a version has; make it again")
    return found


def _whole(table: dict[str, Any], key: str, most: int, where: str) -> int:
    found = table.get(key)
    if not isinstance(found, int) or isinstance(found, bool) or not 0 < found <= most:
        raise UpdateError(f"{where}: its {key} is none that a version has; make it again")
    return found
