"""Where things lie on a card: the table of partitions, read and written as the bytes that it is.

A master boot record: four entries of 16 bytes at 446, each with its state (0x80: bootable), type,
first sector and number of sectors, and 55 AA at the end (UEFI Specification 2.10, 5.2.1, "Legacy
Master Boot Record"). The makers' images have two: a FAT file system that the board's own firmware
reads, and the root, in ext4 (RPi-Distro/pi-gen, export-image/prerun.sh).
"""

import struct
from dataclasses import dataclass, replace

from hardware.card.errors import ImageError

SECTOR = 512
MEBI = 1 << 20
ALIGNED = 4 * MEBI // SECTOR
"""Sectors that a partition's start is rounded up to; cards write in blocks of some megabytes."""

TABLE, ENTRY, ENTRIES = 446, 16, 4
IDENTITY = 440
"""Where the table's own number of 32 bits lies, by which the root is named: it is left alone."""
ENDING = b"\x55\xaa"
BOOTABLE = 0x80
FAT32, LINUX, WHOLE_DISK = (0x0B, 0x0C), 0x83, 0xEE
"""Types: FAT32 by cylinder or by sector, Linux, and that of a disk with another kind of table."""
DATA_BYTES = 64 * MEBI
"""The data partition as it is delivered; the unit makes it as large as the card lets it."""

_ENTRY = struct.Struct("<B3sB3sII")
_BEYOND = b"\xfe\xff\xff"
"""Cylinder, head and sector of what lies beyond what these can say."""


@dataclass(frozen=True, slots=True)
class Partition:
    """One entry.

    Attributes
    ----------
    first, sectors:
        Where it begins and how long it is, in sectors of 512 bytes.
    kind:
        Its type.
    bootable:
        Whether it is marked so.
    """

    first: int
    sectors: int
    kind: int
    bootable: bool = False

    @property
    def end(self) -> int:
        """The first sector behind it."""
        return self.first + self.sectors

    @property
    def start_bytes(self) -> int:
        """Where it begins."""
        return self.first * SECTOR

    @property
    def size_bytes(self) -> int:
        """How long it is."""
        return self.sectors * SECTOR


def read_table(head: bytes, size_bytes: int, name: str) -> tuple[Partition, ...]:
    """The partitions of an image, from its first sector.

    Parameters
    ----------
    head:
        Its first 512 bytes.
    size_bytes:
        How long the whole image is.
    name:
        What messages call it.

    Raises
    ------
    ImageError
        There is no table, or it names what lies outside of the image.
    """
    if len(head) < SECTOR or head[510:512] != ENDING:
        raise ImageError(
            f"{name} is no image of a card (its first sector does not end with 55 AA): give the "
            ".img or .img.xz of the board makers' system"
        )
    found = []
    for number in range(ENTRIES):
        at = TABLE + number * ENTRY
        state, _, kind, _, first, sectors = _ENTRY.unpack(head[at : at + ENTRY])
        if kind and sectors:
            found.append(Partition(first, sectors, kind, state == BOOTABLE))
    if any(each.kind == WHOLE_DISK for each in found):
        raise ImageError(f"{name} has a GPT, not the table of a card for this board: give another")
    if any(each.first == 0 or each.end * SECTOR > size_bytes for each in found):
        raise ImageError(
            f"{name} is cut short or damaged (a partition ends behind its {size_bytes} bytes): "
            "download it again, and compare its checksum with the one that its makers publish"
        )
    return tuple(found)


def boot_and_root(table: tuple[Partition, ...], name: str) -> tuple[Partition, Partition]:
    """The two partitions that a card is made of.

    Raises
    ------
    ImageError
        They are not FAT32 and Linux, in this order and alone.
    """
    kinds = [each.kind for each in table]
    laid_out = len(kinds) == 2 and kinds[0] in FAT32 and kinds[1] == LINUX
    if not laid_out or table[0].end > table[1].first:
        said = ", ".join(f"{kind:#04x}" for kind in kinds) or "none"
        raise ImageError(
            f"{name} has partitions of types {said}; FAT32 (0x0c) and Linux (0x83) alone are what "
            "a card is made of: give an image as its makers deliver it, never started"
        )
    return table[0], table[1]


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the three partitions of a card lie; all of it in sectors."""

    boot: Partition
    root: Partition
    data: Partition

    @property
    def size_bytes(self) -> int:
        """Of the whole image."""
        return self.data.end * SECTOR


def planned(boot: Partition, root: Partition, more_bytes: int) -> Layout:
    """The makers' two partitions with a longer root, and one behind it for marks and settings.

    Parameters
    ----------
    boot, root:
        As they are in the image.
    more_bytes:
        How much longer the root becomes, at the least.
    """
    end = _aligned(root.end + -(-more_bytes // SECTOR))
    longer = replace(root, sectors=end - root.first)
    return Layout(boot, longer, Partition(end, DATA_BYTES // SECTOR, LINUX))


def _aligned(sector: int) -> int:
    return -(-sector // ALIGNED) * ALIGNED


def with_table(head: bytes, layout: Layout) -> bytes:
    """The first sector with a card's three partitions; see `with_entries`."""
    return with_entries(head, (layout.boot, layout.root, layout.data))


def with_entries(head: bytes, partitions: tuple[Partition, ...]) -> bytes:
    """The first sector with these partitions; boot code and the table's number stay.

    Parameters
    ----------
    head:
        The first 512 bytes of the makers' image.
    partitions:
        What it is to name, four at the most.
    """
    made = bytearray(head[:SECTOR])
    made[TABLE : TABLE + ENTRIES * ENTRY] = bytes(ENTRIES * ENTRY)
    for number, each in enumerate(partitions):
        state = BOOTABLE if each.bootable else 0
        entry = _ENTRY.pack(state, _BEYOND, each.kind, _BEYOND, each.first, each.sectors)
        made[TABLE + number * ENTRY : TABLE + (number + 1) * ENTRY] = entry
    made[510:512] = ENDING
    return bytes(made)


def fresh_head(identity: int) -> bytes:
    """A first sector without boot code and partitions, with its number of 32 bits."""
    made = bytearray(SECTOR)
    struct.pack_into("<I", made, IDENTITY, identity)
    made[510:512] = ENDING
    return bytes(made)
