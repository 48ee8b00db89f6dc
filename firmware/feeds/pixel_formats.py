"""Decoded pictures as strided views: the pixel formats that can be measured, and why others not.

Names are those of FFmpeg's libavutil/pixfmt.h, where also the order of bytes of each is written.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from firmware.errors import FeedFormatError
from overlays.signal.frame import Plane, Planes
from overlays.signal.signal import Components, Subsampling


class DecodedPlane(Protocol):
    """One plane of a decoded picture: a buffer of rows that lie `line_size` bytes apart."""

    @property
    def line_size(self) -> int:
        """Bytes from row to row."""
        ...

    @property
    def buffer_size(self) -> int:
        """Bytes of the plane."""
        ...

    def __buffer__(self, flags: int, /) -> memoryview:
        """The bytes themselves."""
        ...


@dataclass(frozen=True, slots=True)
class Where:
    """Where the samples of a component lie: plane, first sample, samples from one to the next."""

    plane: int
    first: int = 0
    step: int = 1


@dataclass(frozen=True, slots=True)
class PixelFormat:
    """How a decoded picture holds its three components.

    Attributes
    ----------
    where:
        Of Y', Cb, Cr or R', G', B'.
    bits:
        Of a code.
    shift:
        Bits by which a sample lies left of its code.
    subsampling, components:
        As in `Signal`.
    big_endian:
        The bytes of a sample must be swapped, which costs one copy.
    grey:
        One component, given three times as R', G', B'.
    jpeg:
        Full range by its very name (the yuvj formats).
    """

    where: tuple[Where, Where, Where]
    bits: int = 8
    shift: int = 0
    subsampling: Subsampling = Subsampling.S444
    components: Components = Components.YCBCR
    big_endian: bool = False
    grey: bool = False
    jpeg: bool = False

    @property
    def sample_bytes(self) -> int:
        """Bytes of a stored sample."""
        return 1 if self.bits == 8 else 2


_SUBSAMPLINGS = {
    "420": Subsampling.S420,
    "422": Subsampling.S422,
    "444": Subsampling.S444,
}
_ENDS = (("le", False), ("be", True))
_PLANES = (Where(0), Where(1), Where(2))


def _planar() -> dict[str, PixelFormat]:
    out = {}
    for digits, sub in _SUBSAMPLINGS.items():
        out[f"yuv{digits}p"] = PixelFormat(_PLANES, subsampling=sub)
        out[f"yuvj{digits}p"] = PixelFormat(_PLANES, subsampling=sub, jpeg=True)
        for bits in (9, 10, 12, 14, 16):
            for end, swapped in _ENDS:
                out[f"yuv{digits}p{bits}{end}"] = PixelFormat(
                    _PLANES, bits, subsampling=sub, big_endian=swapped
                )
    return out


def _semi_planar() -> dict[str, PixelFormat]:
    out = {}
    pairs = (Where(0), Where(1, 0, 2), Where(1, 1, 2))
    swapped = (Where(0), Where(1, 1, 2), Where(1, 0, 2))
    for digit, name8, sub in (("0", "nv12", "420"), ("2", "nv16", "422"), ("4", "nv24", "444")):
        out[name8] = PixelFormat(pairs, subsampling=_SUBSAMPLINGS[sub])
        for bits in (10, 12, 16):
            out[f"p{digit}{bits}le"] = PixelFormat(
                pairs, bits, 16 - bits, subsampling=_SUBSAMPLINGS[sub]
            )
    out["nv21"] = PixelFormat(swapped, subsampling=Subsampling.S420)
    return out


def _packed() -> dict[str, PixelFormat]:
    def at(*firsts: int) -> tuple[Where, Where, Where]:
        luma, cb, cr = firsts
        return Where(0, luma, 2), Where(0, cb, 4), Where(0, cr, 4)

    half = Subsampling.S422
    return {
        "uyvy422": PixelFormat(at(1, 0, 2), subsampling=half),
        "yuyv422": PixelFormat(at(0, 1, 3), subsampling=half),
        "yvyu422": PixelFormat(at(0, 3, 1), subsampling=half),
        "y210le": PixelFormat(at(0, 1, 3), 10, 6, subsampling=half),
        "y212le": PixelFormat(at(0, 1, 3), 12, 4, subsampling=half),
    }


def _rgb() -> dict[str, PixelFormat]:
    rgb, out = Components.RGB, {}
    for order in ("rgb", "bgr", "rgb0", "bgr0", "0rgb", "0bgr"):
        where = tuple(Where(0, order.index(name), len(order)) for name in "rgb")
        name8 = order if len(order) == 4 else f"{order}24"
        out[name8] = PixelFormat((where[0], where[1], where[2]), components=rgb)
        if len(order) == 3:
            for end, swapped in _ENDS:
                out[f"{order}48{end}"] = PixelFormat(
                    (where[0], where[1], where[2]), 16, components=rgb, big_endian=swapped
                )
    gbr = (Where(2), Where(0), Where(1))
    out["gbrp"] = PixelFormat(gbr, components=rgb)
    one = (Where(0), Where(0), Where(0))
    out["gray"] = PixelFormat(one, components=rgb, grey=True)
    for bits in (9, 10, 12, 14, 16):
        for end, swapped in _ENDS:
            out[f"gbrp{bits}{end}"] = PixelFormat(gbr, bits, components=rgb, big_endian=swapped)
            out[f"gray{bits}{end}"] = PixelFormat(
                one, bits, components=rgb, big_endian=swapped, grey=True
            )
    return out


FORMATS: dict[str, PixelFormat] = _planar() | _semi_planar() | _packed() | _rgb()
"""Every pixel format that can be measured."""

_ALPHA = ("yuva", "rgba", "bgra", "argb", "abgr", "gbrap", "ya8", "ya16", "vuya", "ayuv")
_FLOAT = ("f16", "f32")


def pixel_format(name: str, path: str) -> PixelFormat:
    """The format of a decoded picture.

    Raises
    ------
    FeedFormatError
        It cannot be measured: alpha, floating point, a palette, or another.
    """
    found = FORMATS.get(name)
    if found is not None:
        return found
    if any(mark in name for mark in _FLOAT):
        why = (
            "holds floating-point light, not codes of a camera; save it with the curve you want to "
            "check, as 16-bit PNG or TIFF"
        )
    elif name.startswith(_ALPHA):
        why = "has an alpha channel, and what lies behind it is unknown; save it without alpha"
    elif name == "pal8":
        why = "holds a palette, not the codes of a camera; save it as RGB"
    else:
        why = (
            f"decodes to pixel format {name}, which cannot be measured; save it as 8- to 16-bit "
            "Y'CbCr or RGB"
        )
    raise FeedFormatError(f"{path} {why}")


def picture_planes(
    pixels: PixelFormat, planes: "tuple[DecodedPlane, ...]", rows: int, columns: int
) -> Planes:
    """Three views on the planes of a decoded picture of `rows` x `columns`.

    The views keep the decoder's buffers alive. Nothing is copied, unless bytes must be swapped.
    """
    sub = pixels.subsampling
    chroma = (-(-rows // sub.rows), -(-columns // sub.columns))
    sizes = ((rows, columns), chroma, chroma)
    if pixels.grey:
        grey = _view(pixels, planes[0], Where(0), rows, columns)
        return grey, grey, grey
    first, second, third = (
        _view(pixels, planes[where.plane], where, *size)
        for where, size in zip(pixels.where, sizes, strict=True)
    )
    return first, second, third


def _view(pixels: PixelFormat, plane: DecodedPlane, where: Where, rows: int, columns: int) -> Plane:
    if plane.line_size <= 0:
        raise FeedFormatError("the picture is stored bottom-up, which cannot be measured in place")
    flat: npt.NDArray[np.uint8] = np.frombuffer(memoryview(plane), dtype=np.uint8)
    used = ((columns - 1) * where.step + where.first + 1) * pixels.sample_bytes
    if flat.size < plane.line_size * (rows - 1) + used:
        raise FeedFormatError(f"a plane of {flat.size} bytes is too short for {columns}x{rows}")
    lines = np.lib.stride_tricks.as_strided(
        flat, (rows, used), (plane.line_size, 1), writeable=False
    )
    if pixels.sample_bytes == 1:
        return lines[:, where.first :: where.step]
    wide = lines.view(">u2" if pixels.big_endian else "<u2")[:, where.first :: where.step]
    if not pixels.big_endian:
        return wide
    swapped = wide.astype(np.uint16)
    swapped.flags.writeable = False
    return swapped
