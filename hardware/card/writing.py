"""Puts an image onto a card: named twice, looked at before, and read back afterwards.

All that was on the card is gone then. So a disk that is in use, that cannot be taken out, or that
is too large for a card is refused, and whoever starts it names the device twice, by hand.
"""

import argparse
import hashlib
import os
import re
import stat
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from hardware.card.errors import CardError, ChoiceError
from hardware.card.layout import SECTOR

CHUNK = 4 << 20
LARGEST = 600 << 30
"""Bytes: beyond that it is rather somebody's disk than a card."""


@dataclass(frozen=True, slots=True)
class Disk:
    """A device that may be a card.

    Attributes
    ----------
    name:
        As the kernel calls it.
    size_bytes:
        How much it holds.
    model:
        What it says it is; empty where it says nothing.
    can_be_taken_out:
        Whether it is a card in a slot, or hangs on USB.
    """

    name: str
    size_bytes: int
    model: str
    can_be_taken_out: bool


def look_at(device: str, root: Path = Path("/")) -> Disk:
    """What the kernel says of a device.

    Raises
    ------
    ChoiceError
        It is no whole disk.
    """
    name = (root / device.lstrip("/")).resolve().name
    place = root / "sys/block" / name
    if not re.fullmatch(r"[a-z0-9]+", name) or not place.exists():
        raise ChoiceError(
            f"{device} is no whole disk: name that of the card as `lsblk` lists it, without a "
            "number of a partition, as /dev/sdb or /dev/mmcblk0"
        )
    where = place.resolve().as_posix()
    taken_out = _text(place / "removable") == "1" or "/usb" in where or "/mmc" in where
    sectors = _text(place / "size")
    size = int(sectors) * SECTOR if sectors.isascii() and sectors.isdigit() else 0
    return Disk(
        name, size, _text(place / "device/model") or _text(place / "device/name"), taken_out
    )


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8", "replace").strip()
    except OSError:
        return ""


def check(disk: Disk, image_bytes: int, mounts: str) -> None:
    """Make sure that a disk may be written over, as far as that can be seen.

    Parameters
    ----------
    disk:
        The one.
    image_bytes:
        How long the image is.
    mounts:
        /proc/mounts.

    Raises
    ------
    ChoiceError
    """
    used = sorted(
        line.split()[1]
        for line in mounts.splitlines()
        if re.match(rf"/dev/{re.escape(disk.name)}p?\d*\s", line)
    )
    if used:
        raise ChoiceError(
            f"/dev/{disk.name} is in use at {', '.join(used)}: take it out of use there (umount), "
            "if it is the card, and begin again"
        )
    if not disk.can_be_taken_out:
        raise ChoiceError(f"/dev/{disk.name} is built in and no card: name another device")
    if disk.size_bytes > LARGEST:
        raise ChoiceError(
            f"/dev/{disk.name} holds {disk.size_bytes / 1e9:.0f} GB, which is a disk rather than a "
            "card: name another device"
        )
    if disk.size_bytes < image_bytes:
        raise ChoiceError(
            f"/dev/{disk.name} holds {disk.size_bytes / 1e9:.1f} GB and the image "
            f"{image_bytes / 1e9:.1f}: take a larger card"
        )


def copy(image: Path, device: Path, said: Callable[[float], None]) -> None:
    """Write an image, bring it to the card, and compare what is read back.

    Raises
    ------
    ChoiceError
        What is read back is something else.
    """
    size = image.stat().st_size
    with image.open("rb") as source, device.open("r+b", buffering=0) as target:
        written = hashlib.sha256()
        while block := source.read(CHUNK):
            written.update(block)
            view = memoryview(block)
            while view:
                view = view[target.write(view) :]
            said(source.tell() / size / 2)
        os.fsync(target.fileno())
        # Else what is in memory would be compared with itself.
        os.posix_fadvise(target.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        target.seek(0)
        back, left = hashlib.sha256(), size
        while left and (block := target.read(min(CHUNK, left))):
            back.update(block)
            left -= len(block)
            said(1 - left / size / 2)
    if left or back.digest() != written.digest():
        raise ChoiceError(
            f"what {device} gives back is not what was written to it: the card or its reader is "
            "failing; take another"
        )


def main(words: Sequence[str] | None = None, root: Path = Path("/")) -> int:
    """Write an image to a card; the exit status."""
    made = argparse.ArgumentParser(
        prog="hardware/card/write",
        description="Write an image to a card, and compare. ALL THAT IS ON THE CARD IS LOST.",
    )
    made.add_argument("image", type=Path)
    made.add_argument("device", help="the card's, as lsblk lists it: /dev/sdb, /dev/mmcblk0")
    made.add_argument("again", help="the same once more, so that it is meant")
    asked = made.parse_args(words)
    try:
        if asked.device != asked.again:
            raise ChoiceError(f"{asked.device} and {asked.again} differ: name the card twice alike")
        disk = look_at(asked.device, root)
        check(disk, asked.image.stat().st_size, (root / "proc/mounts").read_text())
        device = root / "dev" / disk.name
        _say(f"writing to {device} ({disk.model or 'no name'}, {disk.size_bytes / 1e9:.1f} GB)")
        if root == Path("/") and not stat.S_ISBLK(device.stat().st_mode):
            raise ChoiceError(f"{device} is no disk: nothing was written")
        copy(asked.image, device, _progress)
    except CardError as fault:
        _say(str(fault))
        return 2
    except OSError as fault:
        _say(f"{fault.filename or 'the card'}: {fault.strerror or fault}; run it with sudo?")
        return 2
    _say("written and compared: it may be taken out")
    return 0


def _say(words: str) -> None:
    sys.stderr.write(f"card: {words}\n")


def _progress(share: float) -> None:
    sys.stderr.write(f"\rcard: {share * 100:5.1f} %" + ("\n" if share >= 1 else ""))
