"""The same results composed from OpenCV calls, each the fastest of those that were tried."""

import cv2
import numpy as np
import numpy.typing as npt
from ours import PICTURE, TRACE, Painter

Bytes = npt.NDArray[np.uint8]
GROUP = 2
BLOCK = 480


class OpenCvPainter:
    """Counts and paints with OpenCV."""

    def __init__(self, painter: Painter, rows: int, columns: int) -> None:
        self._bands = painter.painted
        # Eight-bit channels take calcHist's fast way, and hold the columns of one block.
        index = (np.arange(BLOCK, dtype=np.uint16) // GROUP).astype(np.uint8)[None, :]
        self._column = np.ascontiguousarray(np.broadcast_to(index, (rows, BLOCK)))
        high, wide = PICTURE
        y, x = np.mgrid[0:high, 0:wide]
        self._patterns = []
        for band in self._bands:
            made = band.pattern
            full = made.row[x + (y * made.rise // made.run) % made.period]
            colour = np.ascontiguousarray(full).view(np.uint8).reshape(high, wide, 4)
            self._patterns.append((colour, (full != 0).astype(np.uint8) * 255))
        self._shade = np.linspace(60, 255, 256).astype(np.uint8)[None, :]
        self.levels = np.zeros((columns // GROUP, 256), np.float32)
        self.chroma = np.zeros((256, 256), np.float32)
        self.picture: Bytes = np.zeros((*PICTURE, 4), np.uint8)
        self.trace: Bytes = np.zeros(TRACE, np.uint8)

    def whole(self, buffer: Bytes) -> None:
        """Everything."""
        pairs = buffer.reshape(buffer.shape[0], -1, 2)
        luma = cv2.extractChannel(pairs, 1)
        self.count(buffer, luma)
        self.paint(pairs, luma)
        self.paint_trace()

    def count(self, buffer: Bytes, luma: Bytes) -> None:
        """Levels by column, and chroma."""
        bins = BLOCK // GROUP
        parts = []
        for start in range(0, luma.shape[1], BLOCK):
            block = luma[:, start : start + BLOCK]
            parts.append(
                cv2.calcHist([self._column, block], [0, 1], None, [bins, 256], [0, bins, 0, 256])
            )
        self.levels = np.concatenate(parts)
        quads = buffer.reshape(buffer.shape[0], -1, 4)
        self.chroma = cv2.calcHist([quads], [0, 2], None, [256, 256], [0, 256, 0, 256])

    def paint(self, pairs: Bytes, luma: Bytes) -> None:
        """The picture with stripes."""
        size = (PICTURE[1], PICTURE[0])
        whole = cv2.cvtColor(pairs, cv2.COLOR_YUV2BGRA_UYVY)
        self.picture = cv2.resize(whole, size, interpolation=cv2.INTER_AREA)
        small = cv2.resize(luma, size, interpolation=cv2.INTER_AREA)
        for band, (colour, lines) in zip(self._bands, self._patterns, strict=True):
            inside = cv2.inRange(small, float(band.codes.low), float(band.codes.high))
            cv2.copyTo(colour, cv2.bitwise_and(inside, lines), self.picture)

    def paint_trace(self) -> None:
        """The trace: counts to shades, levels upwards, stretched to its place."""
        counts = cv2.convertScaleAbs(self.levels)
        shade = cv2.LUT(counts, self._shade)
        upright = cv2.flip(cv2.transpose(shade), 0)
        grey = cv2.resize(upright, (TRACE[1], TRACE[0]), interpolation=cv2.INTER_NEAREST)
        self.trace = cv2.cvtColor(grey, cv2.COLOR_GRAY2BGRA)
