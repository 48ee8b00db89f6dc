"""Small files of the kernel, read without waiting and without trust."""

import os
import re
from pathlib import Path

from overlays.wording.read_number import whole

_WHOLE = re.compile(r"-?[0-9]{1,9}")


def text_of(path: Path, most_bytes: int = 4096) -> str | None:
    """A file's text, cut at so many bytes; None where it is missing or cannot be read.

    The kernel answers some of its files with an error while a device is busy or gone; that is
    "not known" and no fault.
    """
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    except (OSError, ValueError):
        return None
    try:
        read = b""
        while len(read) < most_bytes:
            more = os.read(descriptor, most_bytes - len(read))
            if not more:
                break
            read += more
    except OSError:
        return None
    finally:
        os.close(descriptor)
    return read.decode(errors="replace")


def whole_number(text: str | None) -> int | None:
    """The one whole number a file holds; None where it holds anything else."""
    stripped = "" if text is None else text.strip()
    return whole(stripped) if _WHOLE.fullmatch(stripped) else None


def inside(root: Path, path: Path) -> Path:
    """An absolute path, looked for under another root."""
    return root / path.relative_to(path.anchor)
