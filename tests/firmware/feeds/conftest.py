"""Files made at test time, by PyAV alone."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest


def av_frame(pixel_format: str, planes: Sequence[np.ndarray], columns: int) -> av.VideoFrame:
    """A picture whose planes hold these rows of bytes (uint8 or uint16 arrays)."""
    frame = av.VideoFrame(columns, planes[0].shape[0], pixel_format)
    for plane, rows in zip(frame.planes, planes, strict=True):
        data = np.zeros((rows.shape[0], plane.line_size), dtype=np.uint8)
        as_bytes = np.ascontiguousarray(rows).view(np.uint8)
        data[:, : as_bytes.shape[1]] = as_bytes
        plane.update(data.tobytes())
    frame.pts = 0
    return frame


def coded(codec: str, frame: av.VideoFrame) -> bytes:
    """One picture, encoded."""
    context = av.CodecContext.create(codec, "w")
    assert isinstance(context, av.VideoCodecContext)
    context.width, context.height, context.pix_fmt = frame.width, frame.height, frame.format.name
    context.time_base = Fraction(1, 25)
    packets = [*context.encode(frame), *context.encode(None)]
    return b"".join(bytes(packet) for packet in packets)


@pytest.fixture
def picture() -> Callable[..., av.VideoFrame]:
    """`av_frame`."""
    return av_frame


@pytest.fixture
def still(tmp_path: Path) -> Callable[..., str]:
    """Write a still of a codec; its path."""

    def write(name: str, codec: str, frame: av.VideoFrame) -> str:
        path = tmp_path / name
        path.write_bytes(coded(codec, frame))
        return str(path)

    return write


@pytest.fixture
def clip(tmp_path: Path) -> Callable[..., str]:
    """Write a video of frames; its path.

    `metadata` is of the file, `tags` are attributes of the encoder.
    """

    def write(
        name: str,
        codec: str,
        frames: Sequence[av.VideoFrame],
        rate: int = 25,
        metadata: Mapping[str, str] | None = None,
        **tags: int,
    ) -> str:
        path = str(tmp_path / name)
        with av.open(path, "w") as container:
            container.metadata.update(metadata or {})
            stream = container.add_stream(codec, rate=rate)
            assert isinstance(stream, av.VideoStream)
            stream.width, stream.height = frames[0].width, frames[0].height
            stream.pix_fmt = frames[0].format.name
            for tag, value in tags.items():
                setattr(stream.codec_context, tag, value)
            for number, frame in enumerate(frames):
                frame.pts, frame.time_base = number, Fraction(1, rate)
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


@pytest.fixture
def steps() -> Callable[..., list[av.VideoFrame]]:
    """Flat 4:2:0 frames whose luma code tells which they are."""

    def make(count: int, columns: int = 64, rows: int = 48) -> list[av.VideoFrame]:
        half = (-(-rows // 2), -(-columns // 2))
        grey = np.full(half, 128, np.uint8)
        return [
            av_frame("yuv420p", (np.full((rows, columns), 20 + n, np.uint8), grey, grey), columns)
            for n in range(count)
        ]

    return make
