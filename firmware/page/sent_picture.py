"""Pictures for a phone, made of copies: the feed's picture in little, trace and chroma trace."""

import numpy as np

from firmware.journal.grey_png import grey_png
from firmware.journal.small import chroma_counts, jpeg_of, trace_counts
from firmware.page.standing import PageCopies
from overlays.draw.layout.theme import theme_for
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stripes import painted_bands

MOST = (640, 360)
"""Columns and rows: as wide as a phone that is held upright has points twice over."""


class Pictures:
    """Makes pictures, one after the other; belongs to one thread."""

    def __init__(self) -> None:
        self._drawer = PictureDrawer()

    def picture(self, taken: PageCopies) -> bytes:
        """A JPEG of the frame with its stripes, through the view transform in use."""
        frame = taken.frame
        share = min(MOST[0] / frame.columns, MOST[1] / frame.rows, 1.0)
        columns, rows = (max(2 * round(n * share / 2), 2) for n in (frame.columns, frame.rows))
        pixels = np.zeros((rows, columns), np.uint32)
        bands = painted_bands(taken.bands, theme_for(columns, rows), columns)
        self._drawer.draw(frame, taken.yard, bands, pixels, taken.monitor)
        return jpeg_of(pixels)

    @staticmethod
    def trace(taken: PageCopies) -> bytes:
        """A PNG of the trace's counts, the highest level at the top."""
        return grey_png(np.ascontiguousarray(trace_counts(taken.census).T[::-1]))

    @staticmethod
    def chroma(taken: PageCopies) -> bytes:
        """A PNG of the chroma trace's counts, Cb to the right and Cr upwards; empty without any."""
        counts = chroma_counts(taken.census)
        return b"" if counts is None else grey_png(np.ascontiguousarray(counts.T[::-1]))
