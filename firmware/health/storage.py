"""Where things are kept: what is mounted there, whether it lasts, how much room is left."""

import os
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TypeAlias

from firmware.health.kernel_files import inside, text_of

MOST_MOUNTS_BYTES = 1 << 20
_OCTAL = re.compile(r"\\([0-7]{3})")
_MEMORY = frozenset({"tmpfs", "ramfs"})
_READ_ONLY = frozenset({"ro", "emergency_ro"})
"""The second is ext4's word for a card that it has stopped writing to (from memory)."""

APPLIANCE_FOLDER = Path("/var/lib/midgrey")
"""What the appliance keeps lies here (systemd/midgrey.service, StateDirectory)."""


@dataclass(frozen=True, slots=True)
class Mount:
    """A line of the kernel's table of mounts (proc_pid_mounts(5), fstab(5))."""

    device: str
    at: Path
    kind: str
    options: tuple[str, ...]


class Keeping(Enum):
    """How long what is written somewhere lasts."""

    LASTING = "lasting"
    MEMORY = "until power-off"
    NOT = "not at all"
    """Read-only."""


@dataclass(frozen=True, slots=True)
class Space:
    """Room on a file system for this user; `free_files` None where it does not count them."""

    free_bytes: int
    free_files: int | None = None


@dataclass(frozen=True, slots=True)
class PlaceLook:
    """One look at a folder.

    Attributes
    ----------
    keeping:
        How long it keeps what is written.
    is_root_in_memory:
        Whether the whole system runs from a card that is read-only by choice.
    space:
        None where the system does not say.
    may_write:
        Whether this user may.
    """

    folder: Path
    keeping: Keeping
    device: str = ""
    is_root_in_memory: bool = False
    space: Space | None = None
    may_write: bool = True


SpaceOf: TypeAlias = Callable[[Path], Space | None]


def kept_in(environ: Mapping[str, str]) -> Path:
    """Where pictures are saved: the service's own folder, else where midgrey was started.

    systemd names the folder in STATE_DIRECTORY (systemd.exec(5)).
    """
    named = environ.get("STATE_DIRECTORY", "").partition(":")[0]
    return Path(named) if named.startswith("/") else Path.cwd()


def space_of(path: Path) -> Space | None:
    """Ask the file system."""
    try:
        told = os.statvfs(path)
    except OSError:
        return None
    files = told.f_favail if told.f_files > 0 else None
    return Space(told.f_bavail * told.f_frsize, files)


def mounts_of(text: str) -> tuple[Mount, ...]:
    """The table of mounts; lines that are none are passed over."""
    found = []
    for line in text.splitlines():
        fields = [_OCTAL.sub(_character, field) for field in line.split()]
        if len(fields) >= 4 and fields[1].startswith("/"):
            options = tuple(fields[3].split(","))
            found.append(Mount(fields[0], Path(fields[1]), fields[2], options))
    return tuple(found)


def _character(found: re.Match[str]) -> str:
    return chr(int(found[1], 8))


def mount_at(folder: Path, mounts: Iterable[Mount]) -> Mount | None:
    """What a folder lies on: the deepest mount, and of several at one place the last."""
    best: Mount | None = None
    for mount in mounts:
        deep = best is None or len(mount.at.parts) >= len(best.at.parts)
        if deep and folder.is_relative_to(mount.at):
            best = mount
    return best


def keeping_of(mount: Mount | None, mounts: Iterable[Mount]) -> Keeping:
    """How long something mounted keeps what is written to it."""
    if mount is None:
        return Keeping.LASTING
    if _READ_ONLY.intersection(mount.options):
        return Keeping.NOT
    if mount.kind == "overlay" and _upper(mount) is None:
        return Keeping.NOT
    return Keeping.MEMORY if is_in_memory(mount, mounts) else Keeping.LASTING


def is_in_memory(mount: Mount, mounts: Iterable[Mount]) -> bool:
    """Whether what is written there goes to memory.

    An overlay keeps it as long as what it lies on does: in memory on a card that is read-only by
    choice (systemd/readonly), on a disk in a container.
    """
    upper = _upper(mount)
    if upper is None:
        return mount.kind in _MEMORY
    under = mount_at(upper, mounts)
    return under is not None and under.kind in _MEMORY


def _upper(mount: Mount) -> Path | None:
    """The folder that an overlay writes to; None where it has none, or is no overlay."""
    name = "upperdir="
    named = [each[len(name) :] for each in mount.options if each.startswith(name)]
    return Path(named[0]) if mount.kind == "overlay" and named else None


def look_at_place(folder: Path, root: Path = Path("/"), space: SpaceOf = space_of) -> PlaceLook:
    """Look at an absolute folder; one that is not there yet is looked at where it would be made."""
    there = next(each for each in (folder, *folder.parents) if inside(root, each).exists())
    mounts = mounts_of(text_of(root / "proc/self/mounts", MOST_MOUNTS_BYTES) or "")
    mount = mount_at(there, mounts)
    base = mount_at(Path("/"), mounts)
    overlaid = base is not None and base.kind == "overlay" and is_in_memory(base, mounts)
    return PlaceLook(
        folder=folder,
        keeping=keeping_of(mount, mounts),
        device="" if mount is None else mount.device,
        is_root_in_memory=overlaid,
        space=space(inside(root, there)),
        may_write=os.access(inside(root, there), os.W_OK),
    )
