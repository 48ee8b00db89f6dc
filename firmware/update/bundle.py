"""The file that brings a version: three parts in a plain tar, of which the second signs the first.

::

    bundle.toml         what it carries (`manifest`), with the digest of the third part
    bundle.toml.sig     its signature (`signature`)
    version.tar.gz      the version's folder, files and folders only

Nothing is read further than it has to be: before the signature is known to hold these are three
headers of 512 bytes and two small parts (POSIX.1-1988, "ustar": a header, then its content, filled
up to whole blocks).
"""

import hashlib
import io
import os
import stat
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from firmware.errors import UpdateError
from firmware.system.files import reason_of
from firmware.update.manifest import MOST_BYTES, MOST_UNPACKED, Manifest, manifest_of

SAYS, SIGNED, CARRIES = "bundle.toml", "bundle.toml.sig", "version.tar.gz"
BLOCK = tarfile.BLOCKSIZE
END = 2 * BLOCK
"""Bytes behind the last part."""
CHUNK = 1 << 20
NO_BUNDLE = "it is no bundle of a version, or a part of one; make or copy it again"


@dataclass(frozen=True, slots=True)
class Bundle:
    """An open bundle, of which nothing is believed yet.

    Attributes
    ----------
    name:
        Of its file, for sentences.
    says, signature:
        Its first two parts, as they are.
    carries_at, carries_bytes:
        Where in the file its third part lies, and its size.
    """

    name: str
    file: BinaryIO
    says: bytes
    signature: bytes
    carries_at: int
    carries_bytes: int

    def manifest(self) -> Manifest:
        """What it says it carries; to be asked once the signature holds.

        Raises
        ------
        UpdateError
            It is not understood, or not of the size of what follows.
        """
        found = manifest_of(self.says, self.name)
        if found.payload_bytes != self.carries_bytes:
            raise UpdateError(f"{self.name}: {NO_BUNDLE}")
        return found

    def carried(self) -> "Carried":
        """Its third part from the beginning."""
        self.file.seek(self.carries_at)
        return Carried(self.file, self.carries_bytes)


class Carried(io.RawIOBase):
    """Reads the packed version, no further than it goes, and digests what it reads."""

    def __init__(self, file: BinaryIO, size: int) -> None:
        super().__init__()
        self._file, self._left, self._digest = file, size, hashlib.sha256()

    def read(self, size: int = -1, /) -> bytes:
        """So many bytes, or fewer at its end."""
        wanted = self._left if size < 0 else min(size, self._left)
        got = self._file.read(wanted)
        self._left = self._left - len(got) if got else 0
        self._digest.update(got)
        return got

    def digest(self) -> str:
        """SHA-256 of all of it: what nobody has read yet is read now."""
        while self.read(CHUNK):
            pass
        return self._digest.hexdigest()


@contextmanager
def opened_bundle(path: Path) -> Iterator[Bundle]:
    """A bundle, for as long as it is read.

    Raises
    ------
    UpdateError
        The file cannot be read, or is none.
    """
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC | os.O_NOCTTY)
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            os.close(descriptor)
            raise UpdateError(f"{path}: it is no plain file; name the bundle itself")
        with os.fdopen(descriptor, "rb") as file:
            yield _parts(path, file)
    except OSError as fault:
        raise UpdateError(
            f"{path}: it cannot be read ({reason_of(fault)}); name a bundle, a file that ends "
            "in .update"
        ) from fault


def _parts(path: Path, file: BinaryIO) -> Bundle:
    says = file.read(_size(path, file, SAYS, MOST_BYTES))
    _pass_fill(path, file, len(says))
    signature = file.read(_size(path, file, SIGNED, MOST_BYTES))
    _pass_fill(path, file, len(signature))
    size = _size(path, file, CARRIES, MOST_UNPACKED)
    at = file.tell()
    file.seek(at + size)
    _pass_fill(path, file, size, END)
    if file.read(1):
        raise UpdateError(f"{path}: {NO_BUNDLE}")
    return Bundle(str(path), file, says, signature, at, size)


def _size(path: Path, file: BinaryIO, name: str, most: int) -> int:
    """The size of the next part, which must have that name and be a plain file."""
    try:
        found = tarfile.TarInfo.frombuf(file.read(BLOCK), "ascii", "strict")
    except (tarfile.HeaderError, UnicodeDecodeError):
        raise UpdateError(f"{path}: {NO_BUNDLE}") from None
    if found.name != name or found.type != tarfile.REGTYPE or not 0 < found.size <= most:
        raise UpdateError(f"{path}: {NO_BUNDLE}")
    return found.size


def _pass_fill(path: Path, file: BinaryIO, size: int, more: int = 0) -> None:
    """What fills a part up says nothing, and nothing else stands there."""
    fill = -size % BLOCK + more
    if file.read(fill) != bytes(fill):
        raise UpdateError(f"{path}: {NO_BUNDLE}")
