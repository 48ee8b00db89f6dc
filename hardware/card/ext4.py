"""The root file system, read and written as a file: no mount, no loop device, no rights of root.

debugfs (of e2fsprogs) does it, told by a list of commands. All that is written belongs to root and
is dated with the build's time, which e2fsprogs takes from the environment (`tools.Tools`).
"""

import re
import tempfile
from collections.abc import Iterable
from pathlib import Path

from hardware.card.errors import ImageError, ToolFailedError
from hardware.card.tools import Tools

_MISSING = re.compile(r"^(.+): File not found by ext2_lookup\s*$", re.MULTILINE)
_GREETING = re.compile(r"^debugfs \d.*$", re.MULTILINE)
BAD_SIGNS = frozenset('"\n\\')
"""What a name cannot hold in a list of commands."""


def read(image: Path, path: str, tools: Tools) -> str | None:
    """A text file of the root; None where there is none.

    Raises
    ------
    ToolFailedError
    """
    out, said = tools.run("debugfs", "-R", f'cat "{path}"', str(image))
    return None if _MISSING.search(said) else out


def missing(image: Path, paths: Iterable[str], tools: Tools) -> set[str]:
    """Those of some paths that the root has nothing at."""
    wanted = sorted(set(paths))
    commands = "".join(f'stat "{path}"\n' for path in wanted)
    _, said = _told(image, commands, tools, write=False)
    return set(_MISSING.findall(said)) & set(wanted)


def take(image: Path, path: str, into: Path, tools: Tools) -> None:
    """A folder of the root with all that is in it, copied into a folder here; owners are not kept.

    Raises
    ------
    ToolFailedError
    """
    tools.run("debugfs", "-R", f'rdump "{path}" "{into}"', str(image))


def grow(image: Path, size_bytes: int, tools: Tools) -> None:
    """Make a root larger, to the end of its file.

    Raises
    ------
    ImageError
        It is no ext4 file system that is whole.
    """
    with image.open("r+b") as file:
        file.truncate(size_bytes)
    try:
        # 1: something was mended, as it is where an image was made while it was mounted.
        tools.run("e2fsck", "-f", "-y", str(image), accept=(0, 1))
        tools.run("resize2fs", str(image))
    except ToolFailedError as fault:
        raise ImageError(
            f"the second partition is no ext4 file system that can be used ({fault}): give an "
            "image as its makers deliver it"
        ) from fault


def commands_for(tree: Path, fresh: set[str], taken: set[str]) -> str:
    """What debugfs is told so that a root gets all that a folder holds.

    Parameters
    ----------
    tree:
        A folder laid out as the root; modes are taken over, owners are not.
    fresh:
        Folders, as absolute paths in the root, that have to be made.
    taken:
        Files and links there that are replaced.

    Raises
    ------
    ImageError
        A name holds what such a list cannot say.
    """
    lines: list[str] = []
    for folder in [tree, *sorted(path for path in tree.rglob("*") if _is_folder(path))]:
        inside = _inside(tree, folder)
        if inside in fresh:
            # By its bare name: of a path with one part it would make it in the folder it is in.
            lines += [f'cd "{_inside(tree, folder.parent)}"', f'mkdir "{folder.name}"']
            lines.append(f'sif "{folder.name}" mode 0{0o40000 | _mode(folder):o}')
        entries = sorted(each for each in folder.iterdir() if not _is_folder(each))
        if not entries:
            continue
        lines.append(f'cd "{inside}"')
        for entry in entries:
            if _inside(tree, entry) in taken:
                lines.append(f'rm "{entry.name}"')
            if entry.is_symlink():
                lines.append(f'symlink "{entry.name}" "{entry.readlink()}"')
            else:
                lines.append(f'write "{entry}" "{entry.name}"')
                lines.append(f'sif "{entry.name}" mode 0{0o100000 | _mode(entry):o}')
    return "".join(f"{line}\n" for line in lines)


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _mode(path: Path) -> int:
    return path.stat().st_mode & 0o7777


def _inside(tree: Path, path: Path) -> str:
    inside = "/" + "/".join(path.relative_to(tree).parts)
    if BAD_SIGNS & set(inside):
        raise ImageError(
            f"{path} cannot be put on a card: rename it without quotes and backslashes"
        )
    return inside


def write_tree(image: Path, tree: Path, tools: Tools) -> None:
    """Put all that a folder holds into a root; what is in the way of a file is replaced.

    Raises
    ------
    ImageError
        It does not fit, or the file system is not whole afterwards.
    """
    everything = sorted(tree.rglob("*"))
    folders = {_inside(tree, path) for path in everything if _is_folder(path)}
    fresh = missing(image, folders, tools)
    # A folder that is not there has nothing in it.
    files = {
        _inside(tree, path)
        for path in everything
        if not _is_folder(path) and _inside(tree, path.parent) not in fresh
    }
    taken = files - missing(image, files, tools)
    commands = commands_for(tree, fresh, taken)
    _, said = _told(image, commands, tools, write=True)
    wrong = [line for line in said.splitlines() if line.strip()]
    if wrong:
        full = "no free space" in said.lower() or "could not allocate" in said.lower()
        remedy = "give it more room with --room" if full else "use the image as it was delivered"
        raise ImageError(f"the root could not be written ({wrong[0].strip()}): {remedy}")
    try:
        tools.run("e2fsck", "-f", "-n", str(image))
    except ToolFailedError as fault:
        raise ImageError(f"the root is not whole after it was written ({fault})") from fault


def _told(image: Path, commands: str, tools: Tools, *, write: bool) -> tuple[str, str]:
    with tempfile.NamedTemporaryFile("w", suffix=".debugfs") as file:
        file.write(commands)
        file.flush()
        mode = ["-w"] if write else []
        out, said = tools.run("debugfs", *mode, "-f", file.name, str(image))
    return out, _GREETING.sub("", said)


def make(
    image: Path, size_bytes: int, label: str, uuid: str, tools: Tools, tree: Path | None = None
) -> None:
    """Make a file system in a new file: empty, with the same words the same bytes; or of a tree.

    Parameters
    ----------
    image:
        The file.
    size_bytes, label, uuid:
        Of the file system.
    tree:
        What it is to hold, owners and times and all.
    """
    with image.open("wb") as file:
        file.truncate(size_bytes)
    options = f"hash_seed={uuid},root_owner=0:0,lazy_itable_init=0,lazy_journal_init=0"
    # Room to be made larger later, up to two terabytes, of the largest cards there are.
    words = ["mke2fs", "-q", "-F", "-t", "ext4", "-b", "4096", "-m", "1", "-L", label, "-U", uuid]
    words += ["-E", f"{options},resize={1 << 29}"]
    tools.run(*words, *(["-d", str(tree)] if tree else []), str(image))
