"""A stick of the kind that shops sell, put into a running board: one partition, FAT32, with files.

Its partition's table is one sector, laid out as the "Master Boot Record" of the UEFI Specification
2.10, section 5.2.1, says; the file system is made and filled by mtools.
"""

import shutil
import struct
from pathlib import Path

from image import call
from machine import Machine, MachineError

SECTOR, FIRST = 512, 2048
"""Bytes of a sector, and where the partition begins, as laptops lay it: a megabyte into it."""
FAT32_LBA = 0x0C
MEGABYTES = 80
NAME = "stick"


def make(path: Path, folder: str, files: list[Path]) -> Path:
    """A stick's whole content, with files in a folder at its top."""
    if shutil.which("mformat") is None:
        raise MachineError("no mtools: apt-get install mtools")
    sectors = MEGABYTES * 2048
    entry = struct.pack("<B3sB3sII", 0, b"\xff" * 3, FAT32_LBA, b"\xff" * 3, FIRST, sectors - FIRST)
    with path.open("wb") as file:
        file.write(bytes(446) + entry.ljust(64, b"\0") + b"\x55\xaa")
        file.truncate(sectors * SECTOR)
    here = f"{path}@@{FIRST * SECTOR}"
    call("mformat", "-i", here, "-F", "-T", str(sectors - FIRST), "-v", "STICK", "::")
    call("mmd", "-i", here, f"::/{folder}")
    call("mcopy", "-i", here, *map(str, files), f"::/{folder}/")
    return path


def put_in(machine: Machine, path: Path) -> None:
    """Put it into a board that has a socket for it, while the board runs."""
    file = {"driver": "file", "filename": str(path), "read-only": True}
    machine.monitor(
        "blockdev-add", **{"driver": "raw", "node-name": NAME, "read-only": True, "file": file}
    )
    machine.monitor(
        "device_add",
        driver="usb-storage",
        id=NAME,
        drive=NAME,
        bus="usb.0",
        removable=True,
    )


def pull_out(machine: Machine) -> None:
    """Pull it out again, without a word to anybody."""
    machine.monitor("device_del", id=NAME)
