"""A version of midgrey that a phone brings: laid where the unit's own updater looks, or refused.

The page judges nothing but its size and name: who signed it, and whether it fits, is found out by
another process with other rights, whose sentence can be asked for here.
"""

import os
import re
import shutil
from asyncio import to_thread
from collections.abc import AsyncIterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from firmware.errors import PageError
from firmware.system.files import reason_of, settle
from firmware.update.places import ENDING, SAID

MOST_BYTES = 400_000_000
"""Of a bundle; one with every wheel has some 130 MB."""
LEFT = 200_000_000
"""Bytes that stay free on the card: marks go on being kept."""
PIECE = 1 << 20
NOT_ALLOWED = (
    "versions are not taken from phones here: page_updates = true in the unit's preset allows it"
)
TOO_LARGE = f"that is too large for a version: {MOST_BYTES // 1_000_000} MB at the most"
BROUGHT = "brought; the unit checks it now, and starts it if it holds"

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}", re.ASCII)
_SAID_BYTES = 1000


async def keep_version(name: str, content: AsyncIterator[bytes], folder: Path) -> str:
    """Keep a bundle as it comes in, whole or not at all; what is to be said of it.

    Parameters
    ----------
    name:
        Of its file.
    content:
        Its pieces.
    folder:
        Where the updater looks.

    Raises
    ------
    PageError
        It is no bundle by its name, too large, or the card cannot take it.
    """
    if not name.endswith(ENDING) or not _NAME.fullmatch(name):
        raise PageError(f"a version's file has a name that ends in {ENDING}")
    unfinished = folder / f".{name}.part"
    try:
        folder.mkdir(mode=0o750, parents=True, exist_ok=True)
        with unfinished.open("wb") as file:
            await _write(file, content, shutil.disk_usage(folder).free - LEFT)
        unfinished.replace(folder / name)
    except OSError as fault:
        _forget(unfinished)
        raise PageError(f"the version cannot be kept ({reason_of(fault)})") from fault
    except BaseException:  # the phone went away, or brings too much
        _forget(unfinished)
        raise
    settle(folder)
    return BROUGHT


async def _write(file: BinaryIO, content: AsyncIterator[bytes], room: int) -> None:
    held, total = bytearray(), 0
    async for piece in content:
        held += piece
        total += len(piece)
        if total > MOST_BYTES:
            raise PageError(TOO_LARGE)
        if total > room:
            raise PageError("the card has no room for it: delete old files there first")
        if len(held) >= PIECE:
            # A slow card holds up this phone, and nobody else.
            await to_thread(file.write, bytes(held))
            held.clear()
    await to_thread(_finish, file, bytes(held))


def _finish(file: BinaryIO, rest: bytes) -> None:
    file.write(rest)
    file.flush()
    os.fsync(file.fileno())


def _forget(path: Path) -> None:
    with suppress(OSError):
        path.unlink()


def said_of_version(file: Path = SAID) -> str:
    """What the unit's updater said last since it was switched on; empty for nothing."""
    try:
        with file.open("rb") as held:
            return " ".join(held.read(_SAID_BYTES).decode("utf-8", "replace").split())
    except OSError:
        return ""
