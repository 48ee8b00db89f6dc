"""Make a bundle of a version's folder, signed: ``python -m firmware.update.bundling --help``.

The same folder makes the same packed version byte for byte: names in order, nobody's owner, times
of the files alone. A signature of the usual kind of key (ed25519) is the same too.
"""

import argparse
import gzip
import hashlib
import io
import os
import sys
import tarfile
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO

from firmware.errors import UpdateError
from firmware.system.files import reason_of, settle
from firmware.update.bundle import CARRIES, CHUNK, END, SAYS, SIGNED
from firmware.update.manifest import MOST_BYTES, Manifest, Release, release_of
from firmware.update.places import COMMAND, ENDING, PYTHON_LINKS, RELEASE_FILE
from firmware.update.signature import sign
from firmware.update.unpacking import FILE_MODE, FOLDER_MODE, PROGRAM_MODE

LEVEL = 9


def make_bundle(folder: Path, key: Path, out: Path) -> Manifest:
    """Pack, sign and write; what the bundle says.

    Parameters
    ----------
    folder:
        A version, as `places` describes it and systemd/make-release makes it.
    key:
        Whose signature units trust.
    out:
        The bundle's file; whole, or not there.

    Raises
    ------
    UpdateError
        The folder is no version, or a file of it is none that a version may hold.
    OSError
        A file cannot be read or written.
    """
    release = _release_in(folder)
    with tempfile.TemporaryFile() as packed:
        unpacked, entries = _pack(folder, packed)
        size = packed.tell()
        packed.seek(0)
        digest = hashlib.file_digest(packed, "sha256").hexdigest()
        manifest = Manifest(release, size, digest, unpacked, entries)
        says = manifest.text().encode()
        signature = sign(says, key)
        unfinished = out.with_name(f".{out.name}")
        with unfinished.open("wb") as file:
            _put(file, SAYS, len(says), io.BytesIO(says))
            _put(file, SIGNED, len(signature), io.BytesIO(signature))
            packed.seek(0)
            _put(file, CARRIES, size, packed)
            file.write(bytes(END))
            file.flush()
            os.fsync(file.fileno())
    unfinished.replace(out)
    settle(out.parent)
    return manifest


def _release_in(folder: Path) -> Release:
    try:
        content = (folder / RELEASE_FILE).read_bytes()[:MOST_BYTES]
    except OSError:
        raise UpdateError(
            f"{folder}: there is no {RELEASE_FILE}, so it is no version; make one with "
            "systemd/make-release"
        ) from None
    if not os.access(folder / COMMAND, os.X_OK):
        raise UpdateError(f"{folder}: it has no {COMMAND} that can be started; make it again")
    return release_of(content, str(folder / RELEASE_FILE))


def _pack(folder: Path, into: BinaryIO) -> tuple[int, int]:
    """Pack a folder; bytes of its files, and how many files and folders there are."""
    size = entries = 0
    with (
        gzip.GzipFile("", "wb", LEVEL, into, mtime=0) as squeezed,
        tarfile.open(fileobj=squeezed, mode="w|", format=tarfile.PAX_FORMAT) as packed,
    ):
        for path in sorted(folder.rglob("*")):
            inside = path.relative_to(folder)
            if "__pycache__" in inside.parts or inside in PYTHON_LINKS:
                continue  # made on the unit
            member = _member(path, inside)
            entries += 1
            size += member.size
            if member.isreg():
                with path.open("rb") as content:
                    packed.addfile(member, content)
            else:
                packed.addfile(member)
    return size, entries


def _member(path: Path, inside: Path) -> tarfile.TarInfo:
    found, member = path.lstat(), tarfile.TarInfo(inside.as_posix())
    member.mtime = int(found.st_mtime)
    if path.is_dir() and not path.is_symlink():
        member.type, member.mode = tarfile.DIRTYPE, FOLDER_MODE
    elif path.is_file() and not path.is_symlink():
        member.size = found.st_size
        member.mode = PROGRAM_MODE if found.st_mode & 0o100 else FILE_MODE
    else:
        raise UpdateError(f"{path}: a version holds plain files and folders; take it out")
    return member


def _put(file: BinaryIO, name: str, size: int, content: BinaryIO) -> None:
    member = tarfile.TarInfo(name)
    member.size, member.mode = size, FILE_MODE
    file.write(member.tobuf(tarfile.USTAR_FORMAT, "ascii", "strict"))
    while block := content.read(CHUNK):
        file.write(block)
    file.write(bytes(-size % tarfile.BLOCKSIZE))


def main(words: Sequence[str]) -> int:
    """The command; its exit status."""
    parser = argparse.ArgumentParser(
        prog="python -m firmware.update.bundling",
        description="Make a signed bundle of a version's folder.",
    )
    parser.add_argument("folder", type=Path, help="made by systemd/make-release")
    parser.add_argument("--key", type=Path, required=True, help="private key to sign with")
    parser.add_argument("--out", type=Path, help=f"else VERSION{ENDING} here")
    asked = parser.parse_args(words)
    try:
        out = asked.out or Path(f"{_release_in(asked.folder).version}{ENDING}")
        made = make_bundle(asked.folder, asked.key, out)
    except UpdateError as fault:
        sys.stderr.write(f"midgrey: {fault}\n")
        return 2
    except OSError as fault:
        sys.stderr.write(f"midgrey: {fault.filename}: {reason_of(fault)}\n")
        return 2
    size = out.stat().st_size
    sys.stdout.write(f"Wrote {out}: {made.release.version}, {size} bytes.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
