"""A picture of grey shades, out of its file and into a framebuffer, with Python's library alone.

The first boot shows its pictures while what draws everything else is being installed.
"""

import struct
import zlib
from dataclasses import dataclass

from firmware.errors import ScreenError
from firmware.screen.fbdev import PixelPlan

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_HEAD = struct.Struct(">IIBBBBB")
MOST = 4096
"""Columns or rows of a picture."""


@dataclass(frozen=True, slots=True)
class Shades:
    """A picture.

    Attributes
    ----------
    columns, rows:
        Its size.
    lines:
        One for each row: a byte a pixel, 0 black to 255 white.
    """

    columns: int
    rows: int
    lines: tuple[bytes, ...]


def read_png(data: bytes) -> Shades:
    """A picture as `firmware.journal.grey_png` writes it: one byte a pixel, no filter.

    Raises
    ------
    ScreenError
        It is none (ISO/IEC 15948, PNG 3rd edition), or of another kind.
    """
    try:
        chunks = dict(_chunks(data)) if data[:8] == _SIGNATURE else {}
        columns, rows, *kind = _HEAD.unpack(chunks[b"IHDR"])
        wide = columns + 1
        known = kind == [8, 0, 0, 0, 0] and 0 < columns <= MOST and 0 < rows <= MOST
        packed = zlib.decompressobj().decompress(chunks[b"IDAT"], wide * rows) if known else b""
    except (KeyError, struct.error, zlib.error) as fault:
        raise ScreenError(f"a picture of the first boot is damaged ({fault!r})") from fault
    lines = [packed[at : at + wide] for at in range(0, wide * rows if known else wide, wide)]
    if any(len(line) != wide or line[0] for line in lines):
        raise ScreenError("a picture of the first boot is cut short, or of another kind of PNG")
    return Shades(columns, rows, tuple(line[1:] for line in lines))


def _chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    found, at = [], 8
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        found.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + length]))
        at += 12 + length
    return found


def turned(picture: Shades, degrees: int) -> Shades:
    """A picture turned clockwise by 0, 90, 180 or 270 degrees."""
    for _ in range(degrees // 90 % 4):
        lines = tuple(bytes(column) for column in zip(*reversed(picture.lines), strict=True))
        picture = Shades(picture.rows, picture.columns, lines)
    return picture


def fitted(
    picture: Shades, columns: int, rows: int, made: dict[bytes, bytes] | None = None
) -> Shades:
    """A picture as large as it fits, in the middle of a ground of its first pixel's shade.

    Parameters
    ----------
    picture:
        What is fitted.
    columns, rows:
        Into this.
    made:
        Lines that were fitted before into the same columns and rows, which are not made again.
    """
    made = {} if made is None else made
    factor = min(columns / picture.columns, rows / picture.rows)
    wide, high = max(1, int(picture.columns * factor)), max(1, int(picture.rows * factor))
    left, above = (columns - wide) // 2, (rows - high) // 2
    across = [column * picture.columns // wide for column in range(wide)]
    ground = picture.lines[0][:1]
    empty = ground * columns
    lines = []
    for row in range(rows):
        source = (row - above) * picture.rows // high
        if not above <= row < above + high:
            lines.append(empty)
            continue
        line = picture.lines[source]
        if line not in made:
            inner = bytes(map(line.__getitem__, across))
            made[line] = ground * left + inner + ground * (columns - wide - left)
        lines.append(made[line])
    return Shades(columns, rows, tuple(lines))


def with_bar(picture: Shades, done: float) -> Shades:
    """A picture with a bar in its lower part that says how much is done.

    Parameters
    ----------
    picture:
        What it lies on.
    done:
        0 to 1.
    """
    high = max(4, picture.rows // 60)
    top = picture.rows * 3 // 4
    left, wide = picture.columns // 6, picture.columns * 2 // 3
    filled = round(wide * min(max(done, 0.0), 1.0))
    bar = b"\xec" * filled + b"\x40" * (wide - filled)
    lines = list(picture.lines)
    for row in range(top, min(top + high, picture.rows)):
        lines[row] = lines[row][:left] + bar + lines[row][left + wide :]
    return Shades(picture.columns, picture.rows, tuple(lines))


def packed(plan: PixelPlan, picture: Shades, made: dict[bytes, bytes] | None = None) -> list[bytes]:
    """The rows of a picture of the framebuffer's size, in its own pixels.

    Parameters
    ----------
    plan:
        How the framebuffer keeps them.
    picture:
        As large as that.
    made:
        Rows that were made before, which are not made again.
    """
    wide = plan.bits // 8
    table = [_pixel(plan, shade).to_bytes(wide, "little") for shade in range(256)]
    made = {} if made is None else made
    for line in picture.lines:
        if line not in made:
            made[line] = b"".join([table[shade] for shade in line])
    return [made[line] for line in picture.lines]


def _pixel(plan: PixelPlan, shade: int) -> int:
    value = plan.masks[3]  # opaque, where that can be said
    for mask in plan.masks[:3]:
        low = (mask & -mask).bit_length() - 1
        value |= (shade * (mask >> low) + 127) // 255 << low
    return value
