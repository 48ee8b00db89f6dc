"""The same results composed from NumPy calls, as one would write them without a compiler.

The picture in two orders: converted to R'G'B' and then scaled, like the OpenCV composition, and
scaled first, plane by plane, which is what midgrey does and spares NumPy some of its work too.
"""

import numpy as np
import numpy.typing as npt
from ours import PICTURE, TRACE, Painter

Bytes = npt.NDArray[np.uint8]
Floats = npt.NDArray[np.float32]
KR, KB = 0.299, 0.114  # ITU-R BT.601-7 item 2.5.1
GROUP = 2


def to_rgb(luma: Floats, cb: Floats, cr: Floats) -> tuple[Floats, Floats, Floats]:
    """R', G', B' on 0..255 of limited-range codes, not held."""
    y = (luma - 16.0) * (255.0 / 219.0)
    u, v = ((plane - 128.0) * (255.0 / 224.0) for plane in (cb, cr))
    red = y + (2 - 2 * KR) * v
    blue = y + (2 - 2 * KB) * u
    return red, (y - KR * red - KB * blue) / (1 - KR - KB), blue


def scaled(plane: Floats) -> Floats:
    """A plane at two thirds of its size."""
    return area_3_to_2(area_3_to_2(plane, 0), 1)


def area_3_to_2(plane: Floats, axis: int) -> Floats:
    """Three samples to two by the area each covers."""
    a, b, c = (np.take(plane, range(n, plane.shape[axis], 3), axis) for n in range(3))
    out = np.stack([(2 * a + b) / 3, (b + 2 * c) / 3], axis=axis + 1)
    shape = list(plane.shape)
    shape[axis] = plane.shape[axis] * 2 // 3
    return out.reshape(shape)


class NumpyPainter:
    """Counts and paints with NumPy."""

    def __init__(self, painter: Painter, columns: int) -> None:
        self._bands = painter.painted
        self._column = (np.arange(columns, dtype=np.int32) // GROUP) * 256
        rows, wide = PICTURE
        y, x = np.mgrid[0:rows, 0:wide]
        self._patterns = [
            b.pattern.row[x + (y * b.pattern.rise // b.pattern.run) % b.pattern.period]
            for b in self._bands
        ]
        self._shade = np.linspace(60, 255, 4096).astype(np.uint32)
        self.levels = np.zeros((columns // GROUP, 256), np.int64)
        self.chroma = np.zeros((256, 256), np.int64)
        self.picture = np.zeros(PICTURE, np.uint32)
        self.trace = np.zeros(TRACE, np.uint32)

    def whole(self, buffer: Bytes) -> None:
        """Everything, the picture converted and then scaled."""
        self.count(buffer)
        self.paint(buffer)
        self.paint_trace()

    def whole_scaled_first(self, buffer: Bytes) -> None:
        """Everything, the picture scaled and then converted."""
        self.count(buffer)
        self.paint_scaled_first(buffer)
        self.paint_trace()

    def count(self, buffer: Bytes) -> None:
        """Levels by column, and chroma."""
        luma = buffer[:, 1::2]
        index = luma + self._column
        self.levels = np.bincount(index.ravel(), minlength=self.levels.size).reshape(-1, 256)
        pairs = buffer[:, 0::4].astype(np.int32) * 256 + buffer[:, 2::4]
        self.chroma = np.bincount(pairs.ravel(), minlength=65536).reshape(256, 256)

    def paint(self, buffer: Bytes) -> None:
        """The picture with stripes: converted, then scaled."""
        luma = buffer[:, 1::2]
        rgb = to_rgb(
            luma.astype(np.float32),
            buffer[:, 0::4].repeat(2, axis=1).astype(np.float32),
            buffer[:, 2::4].repeat(2, axis=1).astype(np.float32),
        )
        small = [scaled(np.clip(plane, 0, 255)) for plane in rgb]
        self._finish(small, scaled(luma.astype(np.float32)))

    def paint_scaled_first(self, buffer: Bytes) -> None:
        """The picture with stripes: scaled, then converted."""
        small = [
            scaled(plane.astype(np.float32))
            for plane in (
                buffer[:, 1::2],
                buffer[:, 0::4].repeat(2, axis=1),
                buffer[:, 2::4].repeat(2, axis=1),
            )
        ]
        self._finish([np.clip(plane, 0, 255) for plane in to_rgb(*small)], small[0])

    def _finish(self, rgb: list[Floats], luma: Floats) -> None:
        levels = [(plane + 0.5).astype(np.uint32) for plane in rgb]
        picture = np.minimum(levels[0], 255) << 16
        picture |= np.minimum(levels[1], 255) << 8 | np.minimum(levels[2], 255)
        code = np.rint(luma).astype(np.int32)
        for band, pattern in zip(self._bands, self._patterns, strict=True):
            inside = (code >= band.codes.low) & (code <= band.codes.high) & (pattern != 0)
            picture = np.where(inside, pattern, picture)
        self.picture = picture

    def paint_trace(self) -> None:
        """The trace: counts to shades, levels upwards, stretched to its place."""
        shade = self._shade[np.minimum(self.levels, 4095)]
        rows = (np.arange(TRACE[0]) * 256 // TRACE[0])[::-1]
        columns = np.arange(TRACE[1]) * self.levels.shape[0] // TRACE[1]
        self.trace = shade[columns][:, rows].T * np.uint32(0x010101)
