"""How the bench lays its samples in a buffer, with the views of `overlays.signal.frame`."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from overlays.signal.frame import (
    Plane,
    Planes,
    packed_422,
    packed_rgb,
    planar,
    semi_planar_420,
)
from overlays.signal.signal import Components, Subsampling

Bytes = npt.NDArray[np.uint8]
Views = Callable[[Bytes, int, int, int], Planes]


@dataclass(frozen=True, slots=True)
class BenchLayout:
    """A buffer layout: its name, what it carries, and the views on it.

    `views` takes the buffer, rows, columns and bytes a sample; `in_upper_bits` says that codes
    of more than 8 bits lie at the upper end of their 16 (P010).
    """

    name: str
    views: Views
    subsampling: Subsampling
    components: Components = Components.YCBCR
    depths: tuple[int, ...] = (8, 10, 12, 16)
    in_upper_bits: bool = False

    def shift(self, bits: int) -> int:
        """Bits by which a stored sample lies left of its code."""
        return 16 - bits if self.in_upper_bits and bits > 8 else 0

    def samples(self, rows: int, columns: int) -> int:
        """Samples of a whole buffer."""
        pairs, row_pairs = (columns + 1) // 2, (rows + 1) // 2
        if self.components is Components.RGB:
            return rows * columns * 3
        if self.subsampling is Subsampling.S444:
            return rows * columns * 3
        if self.in_upper_bits:
            return (rows + row_pairs) * pairs * 2
        if self.subsampling is Subsampling.S420:
            return rows * columns + 2 * row_pairs * pairs
        return rows * (pairs * 4 if self.depths == (8,) else columns + 2 * pairs)


def _packed(order: str, buffer: Bytes, rows: int, columns: int, _sample_bytes: int) -> Planes:
    return packed_422(buffer, rows, columns, order)


def _planar(sub: Subsampling, buffer: Bytes, rows: int, columns: int, size: int) -> Planes:
    return planar(buffer, rows, columns, sub, size)


def _rgb(buffer: Bytes, rows: int, columns: int, sample_bytes: int) -> Planes:
    return packed_rgb(buffer, rows, columns, "RGB", sample_bytes)


def _semi(buffer: Bytes, rows: int, columns: int, sample_bytes: int) -> Planes:
    return semi_planar_420(buffer, rows, columns, sample_bytes)


_LAYOUTS = {
    layout.name: layout
    for layout in (
        BenchLayout("uyvy", partial(_packed, "UYVY"), Subsampling.S422, depths=(8,)),
        BenchLayout("yuyv", partial(_packed, "YUYV"), Subsampling.S422, depths=(8,)),
        BenchLayout("nv12", _semi, Subsampling.S420, in_upper_bits=True),
        BenchLayout("yuv420", partial(_planar, Subsampling.S420), Subsampling.S420),
        BenchLayout("yuv422", partial(_planar, Subsampling.S422), Subsampling.S422),
        BenchLayout("yuv444", partial(_planar, Subsampling.S444), Subsampling.S444),
        BenchLayout("rgb", _rgb, Subsampling.S444, Components.RGB),
    )
}


def layout_names() -> tuple[str, ...]:
    """Every layout that can be asked for."""
    return tuple(_LAYOUTS)


def layout_named(name: str) -> BenchLayout:
    """The layout of a name of `layout_names`."""
    return _LAYOUTS[name]


def sample_steps(buffer: Bytes, planes: Planes) -> npt.NDArray[np.int64]:
    """(3, 3) of (first sample, samples from row to row, from column to column) of each plane."""
    start = buffer.ctypes.data

    def steps(plane: Plane) -> tuple[int, int, int]:
        size = plane.itemsize
        down, along = plane.strides
        return (plane.ctypes.data - start) // size, down // size, along // size

    return np.array([steps(plane) for plane in planes], dtype=np.int64)
