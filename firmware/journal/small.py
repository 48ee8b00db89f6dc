"""The small pictures of a mark: a still for eyes, and counts from which traces are drawn later."""

import io
import zlib
from dataclasses import dataclass

import av
import numpy as np
import numpy.typing as npt

from firmware.errors import JournalError
from firmware.instruments.codes import LEVEL
from overlays.draw.picture.picture import PictureDrawer
from overlays.measure.counting.census import Census
from overlays.measure.counting.yardstick import Yardstick
from overlays.signal.frame import Frame

STILL = (480, 270)
"""Most columns and rows of the still: enough to know a setup by, some 20 kB."""
TRACE = (240, 256)
"""Most columns and levels of the trace's counts."""
CHROMA = 128
"""Cells of the chroma trace each way."""
QUALITY = 3
"""Of the JPEG's quantiser, 2 (best) to 31 (libavcodec, `qscale`)."""

MOST_CELLS = 1 << 20

Counts = npt.NDArray[np.uint8]


def still_of(frame: Frame, yard: Yardstick) -> bytes:
    """The picture in little as a JPEG, with the view transform that the screen has."""
    share = min(STILL[0] / frame.columns, STILL[1] / frame.rows, 1.0)
    columns, rows = (max(2 * round(n * share / 2), 2) for n in (frame.columns, frame.rows))
    pixels = np.zeros((rows, columns), np.uint32)
    PictureDrawer().draw(frame, yard, (), pixels)
    return jpeg_of(pixels)


def jpeg_of(pixels: npt.NDArray[np.uint32]) -> bytes:
    """A JPEG of pixels as a screen has them, (rows, columns) of 0x00RRGGBB; both even."""
    rows, columns = pixels.shape
    rgb = np.stack([pixels >> 16 & 255, pixels >> 8 & 255, pixels & 255], axis=-1)
    out = io.BytesIO()
    with av.open(out, "w", format="mjpeg") as file:
        stream = file.add_stream("mjpeg", rate=1, options={"qscale": str(QUALITY)})
        stream.width, stream.height, stream.pix_fmt = columns, rows, "yuvj444p"
        stream.codec_context.thread_count = 1  # of one small picture; threads take longer to begin
        shown = av.VideoFrame.from_ndarray(rgb.astype(np.uint8), format="rgb24")
        for packet in (*stream.encode(shown), *stream.encode()):
            file.mux(packet)
    return out.getvalue()


def trace_counts(census: Census) -> Counts:
    """(columns, levels) of the trace, 0 to 255 in its fullest cell."""
    levels = census.levels
    across = np.linspace(0, levels.shape[0], min(TRACE[0], levels.shape[0]) + 1).astype(int)[:-1]
    deep = levels.shape[1] // min(TRACE[1], levels.shape[1])
    by, rest = divmod(levels.shape[0], len(across))
    summed = (
        np.add.reduceat(levels, across, axis=0, dtype=np.uint32)
        if rest
        else levels.reshape(len(across), by, -1).sum(axis=1, dtype=np.uint32)  # four times as fast
    )
    return _scaled(summed.reshape(summed.shape[0], -1, deep).sum(axis=2, dtype=np.uint32))


def chroma_counts(census: Census) -> Counts | None:
    """(Cb, Cr) of the chroma trace in little; None of R'G'B', which has none."""
    if census.chroma is None:
        return None
    by = census.chroma.shape[0] // CHROMA
    cells = census.chroma.reshape(CHROMA, by, CHROMA, by)
    return _scaled(cells.sum(axis=(1, 3), dtype=np.uint32))


def _scaled(counts: npt.NDArray[np.uint32]) -> Counts:
    """On a scale of 255 by their logarithm, as eyes see them; what is there is at least 1."""
    shares = np.log1p(counts) / np.log1p(max(int(counts.max()), 1))
    scaled: Counts = np.ceil(255.0 * shares).astype(np.uint8)
    return scaled


def pack(counts: Counts) -> bytes:
    """Rows and columns, two bytes each, and the compressed counts."""
    size = b"".join(n.to_bytes(2, "little") for n in counts.shape)
    return size + zlib.compress(counts.tobytes(), level=LEVEL)


def unpack(blob: bytes) -> Counts:
    """The counts again.

    Raises
    ------
    JournalError
        They are none.
    """
    rows, columns = (int.from_bytes(blob[at : at + 2], "little") for at in (0, 2))
    try:
        if not 0 < rows * columns <= MOST_CELLS:
            raise ValueError("of no size")  # noqa: TRY301 - told below
        data = zlib.decompressobj().decompress(blob[4:], rows * columns + 1)
        return np.frombuffer(data, np.uint8).reshape(rows, columns)
    except (zlib.error, ValueError) as fault:
        raise JournalError(f"the counts of a trace are damaged ({fault})") from fault


@dataclass(frozen=True, slots=True)
class Small:
    """The three of them; the chroma trace is empty where there is none."""

    still: bytes
    trace: bytes
    chroma: bytes


def small_of(frame: Frame, yard: Yardstick, census: Census) -> Small:
    """The small pictures of a frame and its counts."""
    chroma = chroma_counts(census)
    return Small(
        still_of(frame, yard),
        pack(trace_counts(census)),
        b"" if chroma is None else pack(chroma),
    )
