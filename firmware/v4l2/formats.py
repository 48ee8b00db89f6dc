"""The pixel formats that can be measured: how their bytes become three planes.

Byte layouts as in the kernel's "Media Infrastructure userspace API", chapter "Image Formats".
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from overlays.signal.frame import Planes, packed_422, packed_rgb, planar, semi_planar_420
from overlays.signal.signal import Components, Subsampling

Bytes: TypeAlias = npt.NDArray[np.uint8]
View: TypeAlias = Callable[[Bytes, int, int, int], Planes]
"""(buffer, rows, columns, stride in bytes) -> planes."""


@dataclass(frozen=True, slots=True)
class PixelLayout:
    """One pixel format.

    Attributes
    ----------
    name:
        The kernel's four letters.
    components, subsampling, bits, shift:
        As in `Signal` and `Frame`.
    row_bytes:
        Bytes to a pixel of the first plane.
    planes:
        How many lie in memory one behind the other: 1 where all is packed, 2 where Cb and Cr take
        turns in the second (4:2:0), 3 where each has its own, in rows of half the stride (4:2:0).
    view:
        Makes the planes; None where the bytes have to be decoded first (MJPG).
    """

    name: str
    components: Components
    subsampling: Subsampling
    bits: int
    shift: int
    row_bytes: int
    planes: int
    view: View | None

    @property
    def compressed(self) -> bool:
        """Whether a codec lies between the sensor and these codes."""
        return self.view is None

    @property
    def height(self) -> float:
        """Rows of the first plane's stride to a row of the picture: 1.5 for 4:2:0."""
        return 1.0 if self.planes == 1 else 1.5

    def least_stride(self, columns: int) -> int:
        """Bytes from row to row where rows are packed tightly."""
        pairs = columns + columns % 2 if self.subsampling is not Subsampling.S444 else columns
        return pairs * self.row_bytes

    def least_bytes(self, columns: int, rows: int, stride: int) -> int:
        """Fewest bytes that hold a whole picture; a frame with fewer is cut short.

        The last row need not be padded, so what lies behind its last pixel is not asked for.
        """
        stride = stride or self.least_stride(columns)
        if self.compressed:
            return 2
        behind = stride - self.least_stride(columns)
        if self.planes == 1:
            return stride * rows - behind
        if self.planes == 3:  # the last row is one of half the stride, and so is its padding
            behind //= 2
        return stride * rows + stride * ((rows + 1) // 2) - behind


def _uyvy(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return packed_422(buffer, rows, columns, "UYVY", stride)


def _yuyv(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return packed_422(buffer, rows, columns, "YUYV", stride)


def _nv12(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return semi_planar_420(buffer, rows, columns, 1, stride)


def _p010(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return semi_planar_420(buffer, rows, columns, 2, stride)


def _yu12(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return planar(buffer, rows, columns, Subsampling.S420, 1, stride)


def _rgb3(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return packed_rgb(buffer, rows, columns, "RGB", 1, stride)


def _bgr3(buffer: Bytes, rows: int, columns: int, stride: int) -> Planes:
    return packed_rgb(buffer, rows, columns, "BGR", 1, stride)


_YCBCR, _RGB = Components.YCBCR, Components.RGB
_S420, _S422, _S444 = Subsampling.S420, Subsampling.S422, Subsampling.S444

LAYOUTS = {
    layout.name: layout
    for layout in (
        PixelLayout("P010", _YCBCR, _S420, 10, 6, 2, 2, _p010),
        PixelLayout("UYVY", _YCBCR, _S422, 8, 0, 2, 1, _uyvy),
        PixelLayout("YUYV", _YCBCR, _S422, 8, 0, 2, 1, _yuyv),
        PixelLayout("NV12", _YCBCR, _S420, 8, 0, 1, 2, _nv12),
        PixelLayout("YU12", _YCBCR, _S420, 8, 0, 1, 3, _yu12),
        PixelLayout("RGB3", _RGB, _S444, 8, 0, 3, 1, _rgb3),
        PixelLayout("BGR3", _RGB, _S444, 8, 0, 3, 1, _bgr3),
        PixelLayout("MJPG", _YCBCR, _S422, 8, 0, 0, 1, None),
    )
}
"""By name, the most telling first: more bits, then more chroma, then uncompressed."""


def is_whole_jpeg(data: Bytes) -> bool:
    """Whether a picture starts and ends as JPEG does, trailing zeros aside.

    Markers SOI (FF D8) and EOI (FF D9): ITU-T T.81, Table B.1. Drivers pad the end with zeros.
    """
    if data.size < 4 or data[0] != 0xFF or data[1] != 0xD8:
        return False
    tail = data[-64:].tobytes().rstrip(b"\0")
    return tail.endswith(b"\xff\xd9")
