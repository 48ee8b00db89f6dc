"""Files written so that a full card or a power cut leaves the old one or the new one, whole."""

import errno
import os
import stat
from contextlib import suppress
from pathlib import Path

_FULL = "delete old files there, or name another folder"
_REMEDIES = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: "the card is read-only: restart, or name a folder on another one",
    errno.EACCES: "name a folder that this user may write to",
}


def save(path: Path, content: bytes) -> None:
    """Write a file, whole or not at all; an older one stands until the new one is complete.

    A path that is no plain file, as a pipe or /dev/stdout, is written to as it is.

    Raises
    ------
    OSError
        It cannot be written; nothing of it is left behind.
    """
    if path.exists() and not path.is_file():
        path.write_bytes(content)
        return
    target = path.resolve()
    unfinished = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with unfinished.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(target)
    except OSError:
        with suppress(OSError):
            unfinished.unlink()
        raise
    settle(target.parent)


def read_small(path: Path, most_bytes: int) -> bytes:
    """A plain file of no more than so many bytes; waits for nothing that is something else.

    Raises
    ------
    OSError
        It cannot be read, is no plain file, or is larger.
    """
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC | os.O_NOCTTY)
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise OSError(errno.EINVAL, "it is no plain file", str(path))
    with os.fdopen(descriptor, "rb") as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise OSError(errno.EFBIG, f"it is larger than {most_bytes} bytes", str(path))
    return content


def unsaved(path: Path, what: str, fault: OSError) -> str:
    """One sentence on what could not be written, why, and what to do.

    Parameters
    ----------
    what:
        The content, as "picture".
    """
    remedy = _REMEDIES.get(fault.errno or 0, "check the folder")
    return f"{path}: the {what} cannot be written ({reason_of(fault)}); {remedy}"


def reason_of(fault: OSError) -> str:
    """The system's own words for it, as part of a sentence."""
    return (fault.strerror or str(fault)).lower()


def settle(folder: Path) -> None:
    """Bring names that are new in a folder to the card; file systems that cannot do without."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
