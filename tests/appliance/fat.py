"""A small FAT disk with files in one folder, as a laptop leaves it: made byte by byte.

FAT12 as "FAT: General Overview of On-Disk Format" 1.03 lays it out; each name
long and in small letters, as laptops write them.
"""

import struct

SECTOR = 512
FAT_SECTORS, ROOT_ENTRIES, SECTORS = 9, 112, 2880
FOLDER, ARCHIVE, LONG = 0x10, 0x20, 0x0F
LAST = 0xFFF


def fat_image(folder: str, files: dict[str, bytes]) -> bytes:
    """The whole disk, of 1.4 megabytes."""
    clusters: list[bytes] = []
    chains: list[int] = [0xFF0, LAST]

    def stored(content: bytes) -> int:
        """Its first cluster, which is a sector here; 0 of nothing."""
        parts = [content[at : at + SECTOR] for at in range(0, len(content), SECTOR)]
        first = len(chains)
        for number, part in enumerate(parts):
            clusters.append(part.ljust(SECTOR, b"\0"))
            chains.append(LAST if number == len(parts) - 1 else first + number + 1)
        return first if parts else 0

    listed = b"".join(
        _entry(name, ARCHIVE, stored(content), len(content)) for name, content in files.items()
    )
    place = len(chains)
    dots = _entry(".", FOLDER, place) + _entry("..", FOLDER, 0)
    assert stored((dots + listed).ljust(SECTOR, b"\0")) == place
    root = _entry(folder, FOLDER, place).ljust(ROOT_ENTRIES * 32, b"\0")
    table = bytearray(FAT_SECTORS * SECTOR)
    for number, value in enumerate(chains):
        at, odd = number * 3 // 2, number % 2
        pair = struct.unpack_from("<H", table, at)[0]
        pair = (pair & 0x000F | value << 4) if odd else (pair & 0xF000 | value)
        struct.pack_into("<H", table, at, pair)
    made = _boot_sector() + bytes(table) + root + b"".join(clusters)
    return made.ljust(SECTORS * SECTOR, b"\0")


def _boot_sector() -> bytes:
    head = struct.pack(
        "<3s8sHBHBHHBHHHII",
        *(b"\xeb\x3c\x90", b"MADEHERE", SECTOR, 1, 1, 1, ROOT_ENTRIES, SECTORS, 0xF0),
        *(FAT_SECTORS, 18, 2, 0, 0),
    )
    tail = struct.pack("<BBBI11s8s", 0, 0, 0x29, 15, b"BOOT       ", b"FAT12   ")
    return (head + tail).ljust(SECTOR - 2, b"\0") + b"\x55\xaa"


def _entry(name: str, kind: int, cluster: int, size: int = 0) -> bytes:
    """An entry with its long name before it, of no more than 13 letters."""
    if name.startswith("."):
        return _short(name.ljust(11), kind, cluster, size)
    stem, _, ending = name.upper().partition(".")
    short = f"{stem[:6]}~1".ljust(8) + ending[:3].ljust(3)
    letters = (name + "\0").encode("utf-16-le").ljust(26, b"\xff")[:26]
    long = struct.pack(
        *("<B10sBBB12sH4s", 0x41, letters[:10], LONG, 0, _sum_of(short), letters[10:22], 0),
        letters[22:],
    )
    return long + _short(short, kind, cluster, size)


def _short(name: str, kind: int, cluster: int, size: int) -> bytes:
    return struct.pack("<11sBB9sHHHI", name.encode(), kind, 0, b"", 0, 0x21, cluster, size)


def _sum_of(short: str) -> int:
    total = 0
    for letter in short.encode():
        total = ((total & 1) << 7) + (total >> 1) + letter & 0xFF
    return total
