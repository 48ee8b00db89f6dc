"""Large files of mostly nothing: copied without writing what is empty, and renamed when whole."""

import contextlib
import hashlib
import lzma
import os
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from hardware.card.errors import ImageError

CHUNK = 1 << 20
_NOTHING = bytes(CHUNK)
PACKED = ".xz"


def copy(source: IO[bytes], target: IO[bytes], length: int) -> int:
    """Copy bytes from where a file stands to where another does; how many there were.

    What is empty is skipped: the target has to be one that has nothing there.
    """
    left = length
    while left:
        if empty := min(_hole(source), left):
            source.seek(empty, os.SEEK_CUR)
            target.seek(empty, os.SEEK_CUR)
            left -= empty
            continue
        block = source.read(min(CHUNK, left))
        if not block:
            break
        if block == _NOTHING[: len(block)]:
            target.seek(len(block), os.SEEK_CUR)
        else:
            target.write(block)
        left -= len(block)
    return length - left


def _hole(source: IO[bytes]) -> int:
    """How many bytes from where a file stands have no place on the disk: most of a card's image."""
    here = source.tell()
    try:
        data = source.seek(here, os.SEEK_DATA)
    except ValueError:  # no file, or none whose system tells
        return 0
    except OSError:  # nothing behind it
        data = source.seek(0, os.SEEK_END)
    source.seek(here)
    return max(data - here, 0)


def take_out(image: Path, start: int, length: int, into: Path) -> None:
    """A part of a file as a file of its own."""
    with image.open("rb") as source, into.open("wb") as target:
        source.seek(start)
        copied = copy(source, target, length)
        target.truncate(length)
    if copied < length:
        raise ImageError(f"{image} is cut short: download it again")


def lay(part: Path, image: IO[bytes], start: int) -> None:
    """Put a file into an image that has nothing there yet."""
    image.seek(start)
    with part.open("rb") as source:
        copy(source, image, part.stat().st_size)


@contextlib.contextmanager
def unpacked(image: Path, folder: Path) -> Iterator[Path]:
    """The image itself, or what an .xz holds, as a file that is gone afterwards.

    Raises
    ------
    ImageError
        It cannot be read, or is damaged.
    """
    if not image.is_file():
        raise ImageError(f"there is no image {image}: download it, and name the file")
    if image.suffix != PACKED:
        yield image
        return
    plain = folder / "unpacked.img"
    try:
        with lzma.open(image) as source, plain.open("wb") as target:
            while block := source.read(CHUNK):
                if block == _NOTHING[: len(block)]:
                    target.seek(len(block), os.SEEK_CUR)
                else:
                    target.write(block)
            target.truncate(target.tell())
    except (lzma.LZMAError, EOFError, OSError) as fault:
        raise ImageError(f"{image} cannot be unpacked ({fault}): download it again") from fault
    yield plain
    plain.unlink()


@contextlib.contextmanager
def whole_or_nothing(path: Path) -> Iterator[IO[bytes]]:
    """A file that stands under its name only when all of it is written and on the disk."""
    unfinished = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with unfinished.open("wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def sum_of(path: Path) -> str:
    """Its SHA-256."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
