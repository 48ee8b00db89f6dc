"""Mutated files of every container and codec that is opened, stills among them.

Not bytes alone: sizes and counts in headers become extremes, parts of two files are put together,
boxes are doubled and taken out, names are no text.
"""

import random
import re
import struct
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path

import av

from tests.clips import noisy, write
from tests.fuzz.cases import EXTREMES, kept

COLUMNS, ROWS = 96, 64
_VIDEO: tuple[tuple[str, str, str, dict[str, str]], ...] = (
    ("h264.mp4", "libx264", "yuv420p", {"preset": "ultrafast", "bf": "2"}),
    ("h264.ts", "libx264", "yuv422p10le", {"preset": "ultrafast"}),
    ("h264.mkv", "libx264", "yuv444p", {"preset": "ultrafast"}),
    ("hevc.mov", "libx265", "yuv420p10le", {"preset": "ultrafast", "x265-params": "log-level=0"}),
    ("mpeg4.avi", "mpeg4", "yuv420p", {}),
    ("mpeg2.mxf", "mpeg2video", "yuv422p", {}),
    ("mpeg2.mpg", "mpeg2video", "yuv420p", {}),
    ("prores.mov", "prores_ks", "yuv422p10le", {}),
    ("vp9.webm", "libvpx-vp9", "yuv420p", {"deadline": "realtime", "cpu-used": "8"}),
    ("mjpeg.avi", "mjpeg", "yuvj422p", {}),
    ("mjpeg.mov", "mjpeg", "yuvj420p", {}),
    ("ffv1.mkv", "ffv1", "yuv420p", {}),
    ("v210.mov", "v210", "yuv422p10le", {}),
    ("raw.avi", "rawvideo", "yuv420p", {}),
    ("j2k.mov", "jpeg2000", "yuv422p", {}),
    ("cfhd.mov", "cfhd", "yuv422p10le", {}),
    ("huff.avi", "huffyuv", "yuv422p", {}),
)
_STILLS = (
    ("a.png", "png", "rgb24"),
    ("b.png", "png", "rgb48be"),
    ("a.tif", "tiff", "rgb24"),
    ("a.bmp", "bmp", "bgr24"),
    ("a.jpg", "mjpeg", "yuvj420p"),
    ("a.jp2", "jpeg2000", "rgb24"),
    ("a.webp", "libwebp", "yuv420p"),
    ("a.ppm", "ppm", "rgb24"),
    ("a.tga", "targa", "bgr24"),
    ("a.dpx", "dpx", "gbrp10be"),
    ("a.exr", "exr", "gbrpf32le"),
)
_NAME = re.compile(rb"[A-Za-z0-9 ]{4}")


@cache
def corpus(folder: Path) -> tuple[tuple[str, bytes], ...]:
    """(name, bytes) of a short file of each kind that this build of the library can write."""
    made = []
    for name, codec, pixels, options in _VIDEO:
        frames = [each.reformat(format=pixels) for each in noisy(5, COLUMNS, ROWS)]
        try:
            write(folder / name, frames, codec, **options)
        except (av.FFmpegError, ValueError):
            continue  # not every build has every encoder
        made.append((name, (folder / name).read_bytes()))
    for name, codec, pixels in _STILLS:
        try:
            made.append((name, _still(codec, pixels)))
        except (av.FFmpegError, ValueError):
            continue
    return tuple(made)


def _still(codec: str, pixels: str) -> bytes:
    context = av.CodecContext.create(codec, "w")
    assert isinstance(context, av.VideoCodecContext)
    frame = noisy(1, COLUMNS, ROWS)[0].reformat(format=pixels)
    context.width, context.height, context.pix_fmt = frame.width, frame.height, pixels
    context.time_base = Fraction(1, 25)
    return b"".join(bytes(each) for each in [*context.encode(frame), *context.encode(None)])


def mutated(data: bytes, other: bytes, dice: random.Random) -> bytes:
    """A file after one to eight changes."""
    out = bytearray(data)
    for _ in range(dice.randrange(1, 9)):
        if out:
            dice.choice(_CHANGES)(out, other, dice)
    return bytes(out)


def _place(out: bytearray, dice: random.Random) -> int:
    """Somewhere: half of the time near the beginning or the end, where headers are."""
    near = min(len(out), 2048)
    where = dice.randrange(4)
    if where == 0:
        return dice.randrange(near)
    return len(out) - 1 - dice.randrange(near) if where == 1 else dice.randrange(len(out))


def _extreme(out: bytearray, _other: bytes, dice: random.Random) -> None:
    """A number of one to eight bytes becomes an extreme one."""
    size = dice.choice((1, 2, 4, 4, 8))
    number = dice.choice(EXTREMES) + dice.choice((-1, 0, 0, 1))
    at = _place(out, dice)
    order = dice.choice(("big", "little"))
    out[at : at + size] = (number % (1 << 8 * size)).to_bytes(size, order)


def _box(out: bytearray, _other: bytes, dice: random.Random) -> None:
    """The size before a name of four letters, or one of the numbers behind it."""
    found = [match.start() for match in _NAME.finditer(bytes(out[: 1 << 16]))]
    if found:
        at = dice.choice(found) + dice.choice((-4, 4, 8, 12, 16, 20, 24))
        if 0 <= at <= len(out) - 4:
            struct.pack_into(dice.choice((">I", "<I")), out, at, dice.choice(EXTREMES))


def _no_text(out: bytearray, _other: bytes, dice: random.Random) -> None:
    """A name that is no UTF-8."""
    at = _place(out, dice)
    length = dice.randrange(1, 24)
    out[at : at + length] = bytes(dice.choice(b"\xff\xe9\xc3\x80\x00") for _ in range(length))


def _flip(out: bytearray, _other: bytes, dice: random.Random) -> None:
    out[_place(out, dice)] ^= 1 << dice.randrange(8)


def _cut(out: bytearray, _other: bytes, dice: random.Random) -> None:
    del out[_place(out, dice) :]


def _taken(out: bytearray, _other: bytes, dice: random.Random) -> None:
    at = _place(out, dice)
    del out[at : at + dice.choice((1, 4, 16, 188, 1024))]


def _doubled(out: bytearray, _other: bytes, dice: random.Random) -> None:
    at = _place(out, dice)
    part = out[at : at + dice.choice((4, 16, 188, 1024))]
    out[at:at] = part * dice.choice((1, 2, 50))


def _spliced(out: bytearray, other: bytes, dice: random.Random) -> None:
    """A part of another file, in the place of one here or between."""
    start = dice.randrange(max(len(other), 1))
    part = other[start : start + dice.choice((8, 64, 512, 1 << 16))]
    at = _place(out, dice)
    out[at : at + dice.choice((0, len(part)))] = part


_CHANGES = (
    _extreme,
    _extreme,
    _box,
    _box,
    _no_text,
    _flip,
    _flip,
    _cut,
    _taken,
    _doubled,
    _spliced,
)


def case(dice: random.Random, folder: Path) -> Sequence[Sequence[str]]:
    """A mutated file, and what is asked of it."""
    files = corpus(folder)
    name, data = dice.choice(files)
    made = mutated(data, dice.choice(files)[1], dice)
    suffix = Path(dice.choice(files)[0] if dice.random() < 0.05 else name).suffix
    path = kept(folder, f"case{suffix}", made)
    ask = dice.randrange(10)
    if ask < 7:
        return [["read", path, "--json", "--at", "0.5,0.5,8"]]
    if ask < 9:
        return [["watch", path, "--json", "--at", "0.5,0.5,8"]]
    return [["read", path, "--json", "--frame", "3"]]
