"""The data partition: as large as the card lets it, while it is mounted or not.

It is the third of the card that the root is on; the card's image brings it small and empty. The
table of partitions is one sector, which a card writes as a whole; the file system grows while it is
mounted, where its journal keeps it whole (resize2fs(8)).
"""

import re
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from firmware.errors import FirstBootError
from overlays.wording.read_number import whole

NUMBER = 3
SECTOR = 512
WORTH = 8 << 20
"""Bytes behind it that are not worth a change."""
LABEL = "midgrey-data"
_SUPERBLOCK, _MAGIC_AT, _MAGIC = 1024, 56, b"\x53\xef"
"""Where ext4 says what it is (kernel documentation, filesystems/ext4, Super Block)."""

Run = Callable[[list[str], str], None]


@dataclass(frozen=True, slots=True)
class DataPlace:
    """Where the data partition is.

    Attributes
    ----------
    disk, node:
        Of the card, and of the partition.
    number:
        Its major and minor number, as the kernel writes them.
    start, size, disk_size:
        In sectors of 512 bytes.
    """

    disk: Path
    node: Path
    number: str
    start: int
    size: int
    disk_size: int

    @property
    def can_grow(self) -> bool:
        """Whether there is room behind it that is worth it."""
        return (self.disk_size - self.start - self.size) * SECTOR >= WORTH


def find(root: Path = Path("/")) -> DataPlace | None:
    """The third partition of the card that the root is on; None where there is none.

    Raises
    ------
    FirstBootError
        The kernel does not say which card that is.
    """
    number = _mounted_number((root / "proc/self/mountinfo").read_text(), "/")
    own = root / "sys/dev/block" / number if number else None
    if own is None or not (own / "partition").exists():
        raise FirstBootError(
            "the root is on no partition of a card, so there is no room for marks beside it: write "
            "the card's image to a card, and start from that"
        )
    disk = own.resolve().parent
    for each in sorted(disk.iterdir()):
        if (each / "partition").exists() and _figure(each / "partition") == NUMBER:
            return DataPlace(
                root / "dev" / disk.name,
                root / "dev" / each.name,
                (each / "dev").read_text().strip(),
                _figure(each / "start"),
                _figure(each / "size"),
                _figure(disk / "size"),
            )
    return None


def _figure(path: Path) -> int:
    return whole(path.read_text())


def _mounted_number(mountinfo: str, place: str) -> str | None:
    """The number of the device that is mounted at a place (proc_pid_mountinfo(5))."""
    rows = [line.split() for line in mountinfo.splitlines()]
    numbers = [words[2] for words in rows if len(words) > 4 and words[4] == place]
    return numbers[-1] if numbers else None


def is_mounted(place: DataPlace, mountinfo: str) -> bool:
    """Whether the data partition is mounted somewhere."""
    found = re.search(rf"^\S+ \S+ {re.escape(place.number)} ", mountinfo, re.MULTILINE)
    return found is not None


def holds_ext4(node: Path) -> bool:
    """Whether there is a file system on it that was begun, at least."""
    with node.open("rb") as file:
        file.seek(_SUPERBLOCK + _MAGIC_AT)
        return file.read(2) == _MAGIC


def grow(place: DataPlace, mountinfo: str, scratch: Path, run: Run) -> None:
    """Make it as large as the card lets it; once that is done, nothing is left to do.

    Parameters
    ----------
    place:
        Where it is.
    mountinfo:
        /proc/self/mountinfo.
    scratch:
        A folder to mount it on where it is not mounted.
    run:
        Runs a program with its words and what it reads; raises FirstBootError where it fails.
    """
    if place.can_grow:
        number = str(NUMBER)
        run(["sfdisk", "--no-reread", "--force", "-q", "-N", number, str(place.disk)], ", +\n")
        run(["partx", "--update", "--nr", number, str(place.disk)], "")
    if is_mounted(place, mountinfo):
        run(["resize2fs", str(place.node)], "")
        return
    if not holds_ext4(place.node):
        # Nothing was ever kept on it: this is the first boot.
        run(["mke2fs", "-q", "-F", "-t", "ext4", "-L", LABEL, str(place.node)], "")
    scratch.mkdir(parents=True, exist_ok=True)
    run(["mount", "-t", "ext4", str(place.node), str(scratch)], "")
    try:
        run(["resize2fs", str(place.node)], "")
    finally:
        run(["umount", str(scratch)], "")


def run_program(command: list[str], given: str) -> None:
    """Run a program to its end.

    Raises
    ------
    FirstBootError
        It failed, or is not there.
    """
    try:
        done = subprocess.run(
            command, input=given, capture_output=True, text=True, check=False, timeout=600
        )
    except (OSError, subprocess.TimeoutExpired) as fault:
        raise FirstBootError(f"{command[0]} could not be run ({fault})") from fault
    if done.returncode:
        said = (done.stderr or done.stdout).strip()[-200:]
        raise FirstBootError(
            f"the data partition could not be made larger ({' '.join(command)}: {said}): the next "
            "start tries again; until then there is room for few marks"
        )
