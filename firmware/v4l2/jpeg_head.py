"""What a JPEG picture says of itself: size, tables and where its entropy-coded data begin.

Marker segments as in ITU-T T.81, annex B; only what a baseline picture needs is read.
"""

import struct
from dataclasses import dataclass, field

SOI, EOI, SOS, DQT, DHT, DRI = 0xD8, 0xD9, 0xDA, 0xDB, 0xC4, 0xDD
"""Markers: ITU-T T.81, Table B.1."""
_FRAMES = frozenset({0xC0, 0xC1})
"""SOF0 and SOF1: sequential, Huffman coded; others (progressive, arithmetic) are not walked."""
_OTHER_FRAMES = frozenset(range(0xC2, 0xD0)) - {DHT, 0xC8, 0xCC}
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
MOST_SEGMENTS = 256
"""Segments of one picture; tables and application data make some ten."""
COEFFICIENTS = 64


class JpegDamageError(ValueError):
    """The segments of a picture do not hold together; the sentence says where."""


@dataclass(frozen=True, slots=True)
class Component:
    """One plane of a picture, as SOF and SOS tell."""

    name: int
    across: int
    down: int
    table: int


@dataclass(frozen=True, slots=True)
class Scan:
    """Entropy-coded data of some components.

    Attributes
    ----------
    parts:
        (index of the component, DC table, AC table) in the order of the scan.
    start:
        Of its data in the picture's bytes.
    huffman:
        The tables that hold for it, by class (0 DC, 1 AC) and number: counts, then symbols.
    restart:
        Units between restart markers; 0 for none.
    """

    parts: tuple[tuple[int, int, int], ...]
    start: int
    huffman: dict[tuple[int, int], bytes]
    restart: int


@dataclass(slots=True)
class JpegHead:
    """What was read so far, segment by segment.

    Attributes
    ----------
    columns, rows:
        Of the picture.
    components:
        Its planes.
    quantisers:
        64 steps each, in zigzag order, by number.
    huffman, restart:
        In force for the next scan.
    is_walkable:
        Whether it is coded in the one way that can be followed: sequential, Huffman, 8 bits.
    """

    columns: int = 0
    rows: int = 0
    components: tuple[Component, ...] = ()
    quantisers: dict[int, tuple[int, ...]] = field(default_factory=dict)
    huffman: dict[tuple[int, int], bytes] = field(default_factory=dict)
    restart: int = 0
    is_walkable: bool = True


def read_until_scan(data: bytes, at: int, head: JpegHead) -> Scan | None:
    """Read segments from `at` on into `head`, up to the next scan.

    Parameters
    ----------
    data:
        A whole picture.
    at:
        Where a marker is due.
    head:
        Is added to.

    Returns
    -------
    Scan or None
        None at the end of the picture.

    Raises
    ------
    JpegDamageError
        A segment is cut short or contradicts itself.
    """
    for _ in range(MOST_SEGMENTS):
        while data[at : at + 2] == b"\xff\xff":  # fill bytes: B.1.1.2
            at += 1
        if at + 2 > len(data) or data[at] != 0xFF:
            raise JpegDamageError(f"no marker at byte {at}")
        marker, at = data[at + 1], at + 2
        if marker == EOI:
            return None
        if marker == SOI or marker in _ALONE:
            if marker != SOI or at != 2:
                raise JpegDamageError(f"marker {marker:02X} at byte {at - 2} has no place there")
            continue
        if at + 2 > len(data):
            raise JpegDamageError("the last segment is cut short")
        length = int.from_bytes(data[at : at + 2], "big")
        body = data[at + 2 : at + length]
        if length < 2 or len(body) != length - 2:
            raise JpegDamageError(f"the segment at byte {at - 2} is cut short")
        at += length
        if marker == SOS:
            return _scan(body, at, head)
        _take(marker, body, head)
    raise JpegDamageError(f"more than {MOST_SEGMENTS} segments")


def _take(marker: int, body: bytes, head: JpegHead) -> None:
    if marker == DQT:
        _quantisers(body, head)
    elif marker == DHT:
        _huffman(body, head)
    elif marker == DRI:
        if len(body) != 2:
            raise JpegDamageError("the restart interval is no number of two bytes")
        head.restart = int.from_bytes(body, "big")
    elif marker in _FRAMES or marker in _OTHER_FRAMES:
        _frame(body, head)
        head.is_walkable = head.is_walkable and marker in _FRAMES and body[0] == 8
    elif marker < 0xC0:
        raise JpegDamageError(f"marker {marker:02X} is reserved")


def _frame(body: bytes, head: JpegHead) -> None:
    if head.components:
        raise JpegDamageError("a second frame header")
    if len(body) < 6 or len(body) != 6 + 3 * body[5]:
        raise JpegDamageError("the frame header has another length than it says")
    _, head.rows, head.columns, count = struct.unpack(">BHHB", body[:6])
    parts = [body[6 + 3 * n : 9 + 3 * n] for n in range(count)]
    made = tuple(Component(p[0], p[1] >> 4, p[1] & 15, p[2]) for p in parts)
    names = {each.name for each in made}
    fits = all(1 <= each.across <= 4 and 1 <= each.down <= 4 for each in made)
    if not made or len(names) != count or not fits or not head.rows or not head.columns:
        raise JpegDamageError("the frame header makes no picture")
    head.components = made


def _quantisers(body: bytes, head: JpegHead) -> None:
    at = 0
    while at < len(body):
        wide, number = body[at] >> 4, body[at] & 15
        size = COEFFICIENTS * (wide + 1)
        table = body[at + 1 : at + 1 + size]
        if wide > 1 or number > 3 or len(table) != size:
            raise JpegDamageError("a quantisation table is cut short or has no such number")
        steps = struct.unpack(f">{COEFFICIENTS}{'H' if wide else 'B'}", table)
        if 0 in steps:
            raise JpegDamageError("a quantisation table holds a zero")
        head.quantisers[number] = steps
        at += 1 + size


def _huffman(body: bytes, head: JpegHead) -> None:
    at = 0
    while at < len(body):
        kind, number = body[at] >> 4, body[at] & 15
        counts = body[at + 1 : at + 17]
        total = sum(counts)
        symbols = body[at + 17 : at + 17 + total]
        if kind > 1 or number > 3 or len(counts) != 16 or len(symbols) != total:
            raise JpegDamageError("a Huffman table is cut short or has no such number")
        head.huffman[kind, number] = counts + symbols
        at += 17 + total


def _scan(body: bytes, at: int, head: JpegHead) -> Scan:
    count = body[0] if body else 0
    if not 1 <= count <= 4 or len(body) != 4 + 2 * count:
        raise JpegDamageError("the scan header has another length than it says")
    order = {each.name: n for n, each in enumerate(head.components)}
    parts = []
    for n in range(count):
        name, tables = body[1 + 2 * n], body[2 + 2 * n]
        if name not in order:
            raise JpegDamageError("a scan of a plane that the picture has not")
        parts.append((order[name], tables >> 4, tables & 15))
    # Of a sequential picture all coefficients come at once: B.2.3, Table B.3.
    if head.is_walkable and body[1 + 2 * count :] != bytes([0, COEFFICIENTS - 1, 0]):
        raise JpegDamageError("the scan header is none of a sequential picture")
    return Scan(tuple(parts), at, dict(head.huffman), head.restart)
