"""The boot partition, read and written as a file, by mtools."""

import os
from pathlib import Path

from hardware.card.errors import ImageError, ToolFailedError
from hardware.card.tools import Tools


def read(image: Path, path: str, tools: Tools) -> str | None:
    """A text file; None where there is none.

    Raises
    ------
    ImageError
        This is no FAT file system.
    """
    try:
        out, _ = tools.run("mtype", "-i", str(image), f"::{path}")
    except ToolFailedError as fault:
        if "not found" in str(fault).lower():
            return None
        raise ImageError(
            f"the first partition is no FAT file system that can be read ({fault}): give an image "
            "as its makers deliver it"
        ) from fault
    return out


def write_tree(image: Path, tree: Path, tools: Tools) -> None:
    """Put all that a folder holds onto it; files of the same name are replaced.

    Raises
    ------
    ImageError
        It does not fit.
    """
    for path in sorted(tree.rglob("*"), reverse=True):
        os.utime(path, (tools.epoch, tools.epoch))
    try:
        for path in sorted(tree.rglob("*")):
            inside = f"::/{path.relative_to(tree).as_posix()}"
            if path.is_dir():
                # 1: it is there already.
                tools.run("mmd", "-D", "s", "-i", str(image), inside, accept=(0, 1))
            else:
                tools.run("mcopy", "-m", "-o", "-i", str(image), str(path), inside)
    except ToolFailedError as fault:
        raise ImageError(f"the boot partition could not be written ({fault})") from fault


def make(image: Path, size_bytes: int, label: str, identity: int, tools: Tools) -> None:
    """Make an empty FAT32 file system in a new file."""
    with image.open("wb") as file:
        file.truncate(size_bytes)
    words = ["mkfs.vfat", "--invariant", "-F", "32", "-s", "1", "-n", label]
    tools.run(*words, "-i", f"{identity:08x}", str(image))
