"""A packed version becomes a folder: plain files and folders in it, and no more than was said."""

import os
import tarfile
import zlib
from pathlib import Path, PurePosixPath

from firmware.errors import UpdateError
from firmware.update.bundle import CHUNK, Bundle
from firmware.update.manifest import Manifest, release_of
from firmware.update.places import COMMAND, PYTHON_LINKS, RELEASE_FILE, SYSTEM_PYTHON

FOLDER_MODE, FILE_MODE, PROGRAM_MODE = 0o755, 0o644, 0o755
MOST_NAME, MOST_DEPTH = 400, 24
"""Characters of a path within a version, and how many folders deep; both far from any there is."""


def unpack(bundle: Bundle, manifest: Manifest, into: Path) -> None:
    """Fill a new folder with what a bundle carries, and bring all of it to the card.

    Raises
    ------
    UpdateError
        It holds what no version holds, is not what was signed, or is another version.
    OSError
        The card cannot take it.
    """
    into.mkdir(mode=FOLDER_MODE)
    carried = bundle.carried()
    try:
        with tarfile.open(fileobj=carried, mode="r|gz") as packed:
            _take(packed, manifest, into, bundle.name)
    except (tarfile.TarError, zlib.error, EOFError, UnicodeError):
        raise UpdateError(f"{bundle.name}: what it carries is damaged; copy it again") from None
    # Once more, of what was really unpacked: a stick may answer otherwise the second time.
    if carried.digest() != manifest.payload_sha256:
        raise UpdateError(f"{bundle.name}: what it carries is not what was signed; copy it again")
    _must_be(manifest, into, bundle.name)
    for link in PYTHON_LINKS:
        (into / link).parent.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        (into / link).symlink_to(SYSTEM_PYTHON)
    os.sync()


def _take(packed: tarfile.TarFile, manifest: Manifest, into: Path, name: str) -> None:
    left, entries = manifest.unpacked_bytes, manifest.entries
    for member in packed:
        inside = _inside(member, name)
        entries -= 1
        left -= member.size
        if entries < 0 or left < 0:
            raise UpdateError(f"{name}: it carries more than it says; copy it again")
        try:
            _put(packed, member, into / inside)
        except (FileExistsError, NotADirectoryError):
            raise UpdateError(
                f"{name}: it carries two things of the name {inside}; nothing was taken"
            ) from None


def _put(packed: tarfile.TarFile, member: tarfile.TarInfo, path: Path) -> None:
    if member.isdir():
        path.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        return
    path.parent.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    content = packed.extractfile(member)
    assert content is not None, "it is a plain file"
    with path.open("xb") as file:
        while block := content.read(CHUNK):
            file.write(block)
        os.fchmod(file.fileno(), PROGRAM_MODE if member.mode & 0o100 else FILE_MODE)
    os.utime(path, (member.mtime, member.mtime))


def _inside(member: tarfile.TarInfo, name: str) -> PurePosixPath:
    """Where within the folder it belongs."""
    path = PurePosixPath(member.name)
    is_fair = member.name.isprintable() and len(member.name) <= MOST_NAME
    is_within = not path.is_absolute() and ".." not in path.parts and len(path.parts) > 0
    if not is_fair or not is_within or len(path.parts) > MOST_DEPTH:
        raise UpdateError(f"{name}: it would write outside of its own folder; nothing was taken")
    if member.type not in {tarfile.REGTYPE, tarfile.AREGTYPE, tarfile.DIRTYPE}:
        raise UpdateError(f"{name}: it carries {path}, which is no plain file; nothing was taken")
    return path


def _must_be(manifest: Manifest, folder: Path, name: str) -> None:
    """It is the version that was signed, and can be started."""
    try:
        found = release_of((folder / RELEASE_FILE).read_bytes(), RELEASE_FILE)
        is_it = found == manifest.release and os.access(folder / COMMAND, os.X_OK)
    except OSError:
        is_it = False
    if not is_it:
        raise UpdateError(f"{name}: what it carries is not the version that it says")
