"""JPEG pictures of a USB stick as planes, in the codes the stick made."""

import av
import numpy as np
from av.error import FFmpegError

from firmware.v4l2.bounds import MOST_COLUMNS, MOST_ROWS
from firmware.v4l2.formats import Bytes, is_whole_jpeg
from firmware.v4l2.jpeg_check import look_at
from firmware.v4l2.jpeg_head import JpegDamageError
from firmware.v4l2.jpeg_neighbours import Neighbours
from overlays.signal.frame import Planes
from overlays.signal.signal import Subsampling

_SUBSAMPLINGS = {
    "yuvj420p": Subsampling.S420,
    "yuv420p": Subsampling.S420,
    "yuvj422p": Subsampling.S422,
    "yuv422p": Subsampling.S422,
    "yuvj444p": Subsampling.S444,
    "yuv444p": Subsampling.S444,
}
_STRICT = {
    "err_detect": "crccheck+bitstream+buffer+explode",
    "max_pixels": str(MOST_COLUMNS * MOST_ROWS),
}
"""FFmpeg's words for: report what is wrong instead of making a picture of it all the same, and
allocate nothing for a header that names a size no stick sends."""


class JpegDecoder:
    """Decodes one picture at a time; the planes are views on the decoder's own picture.

    JPEG carries neither range nor matrix; the decoder tags every picture "full range, BT.601",
    which is its assumption and is left aside here. Damage within a picture is looked for by a walk
    through its codes and by what the pictures before it were: a decoder alone makes a picture of
    nearly any bytes.
    """

    def __init__(self) -> None:
        self._context = av.CodecContext.create("mjpeg", "r")
        # Frame threads would hold pictures back.
        self._context.thread_count = 1
        self._context.options = _STRICT
        self._neighbours = Neighbours()

    def decode(self, data: Bytes) -> tuple[Planes, Subsampling] | None:
        """The planes and their subsampling, or None where the picture is damaged or in doubt."""
        if not is_whole_jpeg(data):
            return None
        content = data.tobytes()
        try:
            look = look_at(content)
            if self._neighbours.doubt(look) is not None:
                return None
            pictures = self._context.decode(av.Packet(content))
        except (JpegDamageError, FFmpegError):
            return None
        if not pictures or pictures[-1].format.name not in _SUBSAMPLINGS:
            return None
        picture = pictures[-1]
        size = look.head.columns, look.head.rows
        if picture.is_corrupt or (picture.width, picture.height) != size:
            return None
        views = []
        for plane in picture.planes:
            rows = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)
            views.append(rows[:, : plane.width])
        luma, cb, cr = views
        return (luma, cb, cr), _SUBSAMPLINGS[picture.format.name]
